#include "viewer/app/sheet.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "netdb/model/ball_name.hpp"
#include "netdb/model/counted.hpp"
#include "netdb/rework/mend/tap.hpp"
#include "viewer/app/about.hpp"
#include "viewer/app/facts.hpp"
#include "viewer/app/landings.hpp"

namespace landfall::app {
namespace {

constexpr std::size_t kMostPins = 12;
constexpr std::size_t kMostNets = 80;
constexpr std::size_t kMostBeyond = 6;
constexpr std::size_t kMostLandings = 4;
constexpr std::size_t kMostTapped = 40;  // nets of a group for which landings close together are looked for

SheetPiece plain(std::string text, Tone tone) {
  SheetPiece piece;
  piece.text = std::move(text);
  piece.tone = tone;
  return piece;
}

class Writer {
 public:
  Writer(const SheetInput& in, Topic topic) : in_(in), board_(*in.board) {
    sheet_.topic = topic;
    sheet_.title = topic_name(board_, topic);
  }

  void ball(Index pin);
  void net(Index net);
  void part(Index part);
  void group(Topic topic);
  Sheet take() { return std::move(sheet_); }

 private:
  SheetLine& line(std::string label) {
    sheet_.lines.push_back({std::move(label), false, {}});
    return sheet_.lines.back();
  }
  void caption(std::string label, std::string right) {
    sheet_.lines.push_back({std::move(label), true, {}});
    if (!right.empty()) sheet_.lines.back().pieces.push_back(plain(std::move(right), Tone::kNote));
  }
  void text(const std::string& label, std::string words, Tone tone = Tone::kBody) {
    line(label).pieces.push_back(plain(std::move(words), tone));
  }
  [[nodiscard]] SheetPiece link(Topic topic, Tone tone = Tone::kName) const {
    return {topic_name(board_, topic), tone, topic, {}, {}, {}, {}};
  }
  [[nodiscard]] SheetPiece net_link(Index net) const {
    SheetPiece piece = link({TopicKind::kNet, net});
    piece.signal_class = class_of_net(board_, net);
    return piece;
  }
  void mark_lines(Index pin);
  void class_lines(Index net);
  void group_line(Index net);
  void channel_lines(Index channel);
  void net_rows(const std::vector<bool>& member);
  void pins(const std::vector<PinOnNet>& list, std::size_t most);
  void reach(const AboutNet& about);
  void readings(Index net);
  void facts(Index pin);
  void landings(Index pin);
  void taps(const std::vector<bool>& member);
  void state_line(const std::vector<rework::GroupAnswer>& answers, Index item);
  [[nodiscard]] const rework::SiteAnswer* site_answer(Index pin) const;
  [[nodiscard]] const Mark* mark_at(Index pin) const;
  [[nodiscard]] std::vector<Index> balls_of(Index net) const;

  const SheetInput& in_;
  const OpenBoard& board_;
  Sheet sheet_;
};

const rework::SiteAnswer* Writer::site_answer(Index pin) const {
  if (in_.assessment == nullptr) return nullptr;
  for (const auto& site : in_.assessment->sites) {
    if (site.pin == pin) return &site;
  }
  return nullptr;
}

const Mark* Writer::mark_at(Index pin) const {
  if (in_.job == nullptr) return nullptr;
  const Pin& p = board_.board().pins[pin];
  const std::string& part = board_.board().parts[p.part].reference;
  for (const Mark& mark : in_.job->marks) {
    if (mark.part == part && mark.ball == p.number) return &mark;
  }
  return nullptr;
}

// The net's balls on the package that the map shows.
std::vector<Index> Writer::balls_of(Index net) const {
  std::vector<Index> balls;
  for (const Index pin : board_.index().pins_of_net(net)) {
    if (board_.board().pins[pin].part == in_.package->part) balls.push_back(pin);
  }
  return balls;
}

void Writer::mark_lines(Index pin) {
  const Mark* mark = mark_at(pin);
  if (mark == nullptr) {
    if (in_.job != nullptr) text("mark", "not inspected", Tone::kNote);
    return;
  }
  line("mark").pieces.push_back(
      {std::string(landfall::word(mark->kind)), Tone::kBold, {}, {}, mark->kind, {}, {}});
  if (!mark->note.empty()) text("note", mark->note);
  const rework::SiteAnswer* answer = site_answer(pin);
  if (answer == nullptr) return;
  SheetLine& need = line("need");
  need.pieces.push_back({std::string(rework::word(answer->need)), Tone::kBold, {}, {}, {}, answer->need, {}});
  if (!answer->reason.empty()) text("", answer->reason, Tone::kNote);
}

void Writer::class_lines(Index net) {
  const SignalClass c = class_of_net(board_, net);
  SheetPiece piece = link({TopicKind::kClass, static_cast<Index>(c)}, Tone::kBody);
  piece.signal_class = c;
  line("class").pieces.push_back(std::move(piece));
  const NetSignal& signal = board_.signals().nets[net];
  if (!signal.why.empty()) text("", signal.why.front().source, Tone::kNote);
}

void Writer::group_line(Index net) {
  const NetSignal& signal = board_.signals().nets[net];
  SheetLine groups{"group", false, {}};
  const auto add = [&](TopicKind kind, Index item) {
    if (item != kNone) groups.pieces.push_back(link({kind, item}, Tone::kItalic));
  };
  add(TopicKind::kChannel, signal.channel);
  add(TopicKind::kLane, signal.lane);
  add(TopicKind::kBus, signal.bus);
  for (const Index channel : signal.shared_with) add(TopicKind::kChannel, channel);
  if (!groups.pieces.empty()) sheet_.lines.push_back(std::move(groups));
}

void Writer::pins(const std::vector<PinOnNet>& list, std::size_t most) {
  for (std::size_t i = 0; i < list.size() && i < most; ++i) {
    const PinOnNet& pin = list[i];
    SheetLine& row = line("");
    row.pieces.push_back(link({TopicKind::kBall, pin.pin}));
    if (!pin.function.empty()) row.pieces.push_back(plain(pin.function, Tone::kName));
    std::string rest = pin.value;
    if (pin.from_here) rest += (rest.empty() ? "" : ", ") + length_text(*pin.from_here, in_.mils, 1);
    if (!pin.fitted) rest += (rest.empty() ? "" : ", ") + std::string("not fitted");
    if (!rest.empty()) row.pieces.push_back(plain(rest, Tone::kNote));
  }
  if (list.size() > most) text("", fmt::format("and {} more", list.size() - most), Tone::kNote);
}

void Writer::reach(const AboutNet& about) {
  if (about.beyond.empty()) return;
  caption("BEYOND SERIES PARTS", "");
  for (std::size_t i = 0; i < about.beyond.size() && i < kMostBeyond; ++i) {
    const BeyondSeries& beyond = about.beyond[i];
    SheetLine& row = line("");
    const std::string reference = beyond.through.substr(0, beyond.through.find(','));
    const Index part = board_.index().part(reference);
    row.pieces.push_back(plain(beyond.through, Tone::kBody));
    if (part != kNone) row.pieces.back().link = Topic{TopicKind::kPart, part};
    row.pieces.push_back(net_link(beyond.net));
    pins(beyond.pins, 3);
  }
  if (about.beyond.size() > kMostBeyond)
    text("", fmt::format("and {} more", count_of(about.beyond.size() - kMostBeyond, "net")), Tone::kNote);
}

void Writer::state_line(const std::vector<rework::GroupAnswer>& answers, Index item) {
  for (const rework::GroupAnswer& answer : answers) {
    if (answer.group != item) continue;
    line("state").pieces.push_back(
        {std::string(rework::word(answer.state)), Tone::kBold, {}, {}, {}, {}, answer.state});
    text("", answer.because, Tone::kNote);
    if (answer.lost.size() < 2) continue;
    SheetLine& lost = line(fmt::format("{} lost", answer.lost.size()));
    for (std::size_t i = 0; i < answer.lost.size() && i < kMostNets; ++i) {
      SheetPiece piece = link({TopicKind::kBall, answer.lost[i]});
      piece.text = board_.board().pins[answer.lost[i]].number;
      if (const Mark* mark = mark_at(answer.lost[i])) piece.mark = mark->kind;
      lost.pieces.push_back(std::move(piece));
    }
    if (answer.lost.size() > kMostNets)
      lost.pieces.push_back(plain(fmt::format("and {} more", answer.lost.size() - kMostNets), Tone::kNote));
  }
}

void Writer::ball(Index pin) {
  const Pin& p = board_.board().pins[pin];
  sheet_.title = p.number;
  const AboutBall about = about_ball(board_, pin, *in_.package);
  if (p.net == kNone) {
    sheet_.under.push_back(plain("on no net", Tone::kBold));
  } else {
    sheet_.under.push_back(link({TopicKind::kNet, p.net}));
  }
  sheet_.under.push_back(plain(
      about.function.empty() ? "the board's name" : "the chip calls it " + about.function, Tone::kNote));
  line("part").pieces.push_back(link({TopicKind::kPart, p.part}));
  const Part& part = board_.board().parts[p.part];
  if (!part.value.empty()) sheet_.lines.back().pieces.push_back(plain(part.value, Tone::kNote));
  mark_lines(pin);
  facts(pin);
  if (p.net != kNone) {
    class_lines(p.net);
    group_line(p.net);
    caption("ON THE NET", count_of(about.on_net.pins.size(), "other pin"));
    pins(about.on_net.pins, kMostPins);
    reach(about.on_net);
    landings(pin);
  }
  readings(p.net);
  if (about.neighbours.empty()) return;
  caption("TEST AGAINST", "neighbours");
  SheetLine& row = line("");
  for (const Index neighbour : about.neighbour_pins) {
    SheetPiece piece = link({TopicKind::kBall, neighbour});
    piece.text = board_.board().pins[neighbour].number;
    piece.signal_class = class_of_net(board_, board_.board().pins[neighbour].net);
    row.pieces.push_back(std::move(piece));
  }
}

void Writer::net(Index net) {
  sheet_.under.push_back(plain("net", Tone::kNote));
  const Net& own = board_.board().nets[net];
  for (const std::string& alias : own.aliases) text("also", alias, Tone::kName);
  class_lines(net);
  group_line(net);
  if (in_.assessment != nullptr) state_line(in_.assessment->nets, net);
  const AboutNet about = about_net(board_, net, kNone);
  caption("PINS", fmt::format("{}, {}", about.pins.size(), count_of(about.vias, "via")));
  // The balls of the package on the map first: they can be seen.
  std::vector<PinOnNet> list = about.pins;
  std::stable_partition(list.begin(), list.end(), [&](const PinOnNet& pin) {
    return board_.board().pins[pin.pin].part == in_.package->part;
  });
  pins(list, kMostNets);
  reach(about);
  readings(net);
}

// Where else the net can be soldered to.
void Writer::landings(Index pin) {
  static const std::vector<Mark> no_marks;
  const Index part = board_.board().pins[pin].part;
  const std::vector<std::string> lifted =
      in_.job != nullptr ? in_.job->lifted : std::vector<std::string>{board_.board().parts[part].reference};
  const auto near =
      landings_near(board_, pin, lifted, in_.job != nullptr ? in_.job->marks : no_marks, kMostLandings);
  if (near.empty()) return;
  caption("LANDINGS", "nearest and easiest, as drawn");
  for (const NearLanding& one : near) {
    SheetLine& row = line("");
    SheetPiece piece = plain(one.text, Tone::kName);
    if (one.landing.pin != kNone) piece.link = Topic{TopicKind::kBall, one.landing.pin};
    row.pieces.push_back(std::move(piece));
    const bool other =
        one.landing.side != Side::kThrough && one.landing.side != board_.board().parts[part].side;
    row.pieces.push_back(
        plain(length_text(one.from_here, in_.mils, 1) + (other ? ", other side" : ""), Tone::kNote));
  }
}

// One landing for each net of a bus or lane, all close together: to listen in.
void Writer::taps(const std::vector<bool>& member) {
  std::vector<Index> nets;
  for (Index net = 0; net < member.size(); ++net) {
    if (member[net]) nets.push_back(net);
  }
  if (nets.empty() || nets.size() > kMostTapped || !board_.copper().known()) return;
  rework::LandingRules rules;
  rules.both_sides = true;
  rules.marked.assign(board_.board().pins.size(), 0);
  const rework::Tap tap = rework::tap(board_.index(), board_.copper(), nets, rules);
  const auto reached = std::count_if(tap.points.begin(), tap.points.end(),
                                     [](const rework::TapPoint& point) { return point.found; });
  if (reached == 0) return;
  caption("WHERE TO TAP", "all within " + length_text(tap.spread, in_.mils, 1));
  for (const rework::TapPoint& point : tap.points) {
    SheetLine& row = line("");
    row.pieces.push_back(net_link(point.net));
    const std::string side = point.found && point.landing.side == Side::kBottom ? ", bottom" : "";
    SheetPiece piece = plain(
        point.found ? rework::landing_text(board_.index(), point.landing) + side : "no landing", Tone::kNote);
    if (point.found && point.landing.pin != kNone) piece.link = Topic{TopicKind::kBall, point.landing.pin};
    row.pieces.push_back(std::move(piece));
  }
}

// What was said of the ball or measured at it.
void Writer::facts(Index pin) {
  if (in_.job == nullptr) return;
  const std::string own = board_.index().pin_text(pin);
  bool any = false;
  for (const Fact& fact : in_.job->facts) {
    if (fact.a != own && fact.b != own) continue;
    if (!any) caption("FACTS", "they stand over files and marks");
    any = true;
    SheetLine& row = line("");
    row.pieces.push_back(plain(fact_text(board_.index(), fact), Tone::kBody));
    row.pieces.push_back(plain("take back", Tone::kNote));
    row.pieces.back().take_back = fact.id;
  }
}

// What the meter said of the net, where it is on the job's measuring sheet.
void Writer::readings(Index net) {
  if (in_.readings == nullptr || net == kNone) return;
  for (const ReadingRow& row : in_.readings->rows) {
    if (row.net != board_.board().nets[net].name) continue;
    caption("READINGS", fmt::format("{} {}", in_.readings->mode == ReadingMode::kDiode ? "volts" : "ohm",
                                    row.point.empty() ? "" : "at " + row.point));
    if (row.expected.known)
      text("expected",
           fmt::format("{}, {}", expected_text(in_.readings->mode, row.expected), row.expected.from),
           Tone::kItalic);
    const auto read = [&](const char* label, const std::optional<MeterReading>& reading,
                          const rework::JudgedReading& judged) {
      if (!reading) return;
      SheetLine& one = line(label);
      one.pieces.push_back(plain(value_text(in_.readings->mode, reading->value), Tone::kBold));
      one.pieces.push_back(plain(std::string(landfall::rework::word(judged.word)), Tone::kItalic));
      text("", judged.why, Tone::kNote);
    };
    read("before", row.before, row.judged_before);
    read("after", row.after, row.judged_after);
    if (!row.before && !row.after) text("", "not read yet", Tone::kNote);
  }
}

void Writer::part(Index part) {
  const Part& p = board_.board().parts[part];
  sheet_.under.push_back(plain(p.value.empty() ? "part" : p.value, Tone::kNote));
  if (!p.footprint.empty()) text("pattern", p.footprint, Tone::kName);
  if (p.placed) text("side", std::string(landfall::word(p.side)));
  if (!p.fitted) text("", "not fitted", Tone::kBold);
  const auto pins = board_.index().pins_of_part(part);
  caption("PINS", std::to_string(pins.size()));
  std::vector<Index> order(pins.begin(), pins.end());
  std::sort(order.begin(), order.end(), [&](Index a, Index b) {
    return natural_less(board_.board().pins[a].number, board_.board().pins[b].number);
  });
  for (std::size_t i = 0; i < order.size() && i < kMostNets; ++i) {
    const Pin& pin = board_.board().pins[order[i]];
    SheetLine& row = line("");
    SheetPiece piece = link({TopicKind::kBall, order[i]});
    piece.text = pin.number;
    row.pieces.push_back(std::move(piece));
    if (!pin.function.empty()) row.pieces.push_back(plain(pin.function, Tone::kName));
    if (pin.net != kNone) row.pieces.push_back(net_link(pin.net));
  }
  if (order.size() > kMostNets) text("", fmt::format("and {} more", order.size() - kMostNets), Tone::kNote);
}

void Writer::channel_lines(Index channel) {
  const Signals& signals = board_.signals();
  text("", signals.channels[channel].what);
  SheetLine lanes{"lanes", false, {}};
  for (Index lane = 0; lane < signals.lanes.size(); ++lane) {
    if (signals.lanes[lane].channel == channel)
      lanes.pieces.push_back(link({TopicKind::kLane, lane}, Tone::kItalic));
  }
  if (!lanes.pieces.empty()) sheet_.lines.push_back(std::move(lanes));
  SheetLine parts{"parts", false, {}};
  for (const Index part : signals.channels[channel].parts)
    parts.pieces.push_back(link({TopicKind::kPart, part}));
  if (!parts.pieces.empty()) sheet_.lines.push_back(std::move(parts));
}

void Writer::net_rows(const std::vector<bool>& member) {
  std::vector<Index> nets;
  for (Index net = 0; net < member.size(); ++net) {
    if (member[net]) nets.push_back(net);
  }
  std::sort(nets.begin(), nets.end(), [&](Index a, Index b) {
    return natural_less(board_.board().nets[a].name, board_.board().nets[b].name);
  });
  caption("NETS", std::to_string(nets.size()));
  for (std::size_t i = 0; i < nets.size() && i < kMostNets; ++i) {
    SheetLine& row = line("");
    row.pieces.push_back(net_link(nets[i]));
    const auto balls = balls_of(nets[i]);
    for (std::size_t b = 0; b < balls.size() && b < 4; ++b) {
      SheetPiece piece = link({TopicKind::kBall, balls[b]});
      piece.text = board_.board().pins[balls[b]].number;
      if (const Mark* mark = mark_at(balls[b])) piece.mark = mark->kind;
      row.pieces.push_back(std::move(piece));
    }
    if (balls.size() > 4)
      row.pieces.push_back(plain(fmt::format("and {} more", balls.size() - 4), Tone::kNote));
  }
  if (nets.size() > kMostNets) text("", fmt::format("and {} more", nets.size() - kMostNets), Tone::kNote);
}

void Writer::group(Topic topic) {
  const Signals& signals = board_.signals();
  sheet_.under.push_back(plain(std::string(word(topic.kind)), Tone::kNote));
  Index channel = kNone;
  if (topic.kind == TopicKind::kBus) channel = signals.buses[topic.item].channel;
  if (topic.kind == TopicKind::kLane) channel = signals.lanes[topic.item].channel;
  if (channel != kNone) line("channel").pieces.push_back(link({TopicKind::kChannel, channel}, Tone::kItalic));
  if (topic.kind == TopicKind::kChannel) channel_lines(topic.item);
  if (in_.assessment != nullptr) {
    if (topic.kind == TopicKind::kBus) state_line(in_.assessment->buses, topic.item);
    if (topic.kind == TopicKind::kLane) state_line(in_.assessment->lanes, topic.item);
    if (topic.kind == TopicKind::kChannel) state_line(in_.assessment->channels, topic.item);
  }
  const std::vector<bool> member = nets_of(board_, topic);
  net_rows(member);
  if (topic.kind == TopicKind::kBus || topic.kind == TopicKind::kLane) taps(member);
}

}  // namespace

Sheet make_sheet(const SheetInput& in, Topic topic) {
  Writer writer(in, topic);
  switch (topic.kind) {
    case TopicKind::kBall:
      writer.ball(topic.item);
      break;
    case TopicKind::kNet:
      writer.net(topic.item);
      break;
    case TopicKind::kPart:
      writer.part(topic.item);
      break;
    default:
      writer.group(topic);
      break;
  }
  return writer.take();
}

std::string sheet_text(const Sheet& sheet) {
  const auto words = [](const std::vector<SheetPiece>& pieces) {
    std::string text;
    for (const SheetPiece& piece : pieces) {
      if (piece.take_back == 0) text += (text.empty() ? "" : "  ") + piece.text;
    }
    return text;
  };
  std::string text = sheet.title;
  if (!sheet.under.empty()) text += "  " + words(sheet.under);
  text += '\n';
  for (const SheetLine& line : sheet.lines) {
    if (line.caption) text += '\n';
    text += line.label;
    const std::string right = words(line.pieces);
    if (!right.empty()) text += "\t" + right;
    text += '\n';
  }
  return text;
}

std::string length_text(Nm length, bool mils, int mm_places) {
  if (!mils) return mm_text(length, mm_places) + "\u00A0mm";
  // Tenths of a mil are 2540 nm, exactly.
  const Nm tenths =
      (length >= 0 ? length + kNmPerTenthMil / 2 : length - kNmPerTenthMil / 2) / kNmPerTenthMil;
  return fmt::format("{}{}.{}\u00A0mil", tenths < 0 ? "-" : "", std::abs(tenths) / 10, std::abs(tenths) % 10);
}

}  // namespace landfall::app
