#include "viewer/app/list_onto.hpp"

#include <algorithm>
#include <set>
#include <string_view>
#include <unordered_set>

#include <fmt/format.h>

#include "importers/bare_part.hpp"
#include "importers/design.hpp"
#include "netdb/join/by_name.hpp"
#include "netdb/join/one_chip.hpp"
#include "netdb/model/ball_name.hpp"
#include "netdb/model/counted.hpp"
#include "viewer/app/part_edit.hpp"
#include "viewer/app/revision.hpp"

namespace landfall::app {
namespace {

constexpr std::size_t kRevision = 2;  // a list with one in two of the known balls is their revision
constexpr std::size_t kMayGo = 10;    // and may leave out one in ten of them
constexpr std::size_t kListed = 5;

using Balls = std::unordered_set<std::string>;

// However the ball is written.
std::string key_of(const std::string& number) {
  const auto site = parse_ball(number);
  return site ? ball_text(*site) : number;
}

Balls balls_of(const Board& list) {
  Balls balls;
  for (const Pin& pin : list.pins) balls.insert(key_of(pin.number));
  return balls;
}

std::string first_of(std::vector<std::string> balls) {
  std::sort(balls.begin(), balls.end(), natural_less);
  std::string text;
  for (std::size_t i = 0; i < balls.size() && i < kListed; ++i) text += (i == 0 ? "" : ", ") + balls[i];
  return balls.size() > kListed ? text + fmt::format(" and {} more", balls.size() - kListed) : text;
}

// What would go of one part.
struct Lost {
  std::vector<std::string> balls;
  std::size_t of = 0;
  std::string marked;  // "job 1 has marks on A1, A2", empty when none has
};

Lost lost_of(const BoardIndex& board, Index part, const Balls& stay, const std::vector<Job>& jobs) {
  Lost lost;
  const auto pins = board.pins_of_part(part);
  lost.of = pins.size();
  Balls gone;
  for (const Index at : pins) {
    const std::string& number = board.board().pins[at].number;
    if (stay.contains(key_of(number))) continue;
    lost.balls.push_back(number);
    gone.insert(number);
  }
  for (const Job& job : jobs) {
    std::vector<std::string> balls;
    for (const Mark& mark : job.marks) {
      if (mark.part == board.board().parts[part].reference && gone.contains(mark.ball))
        balls.push_back(mark.ball);
    }
    if (balls.empty()) continue;
    lost.marked += fmt::format("{}job {} has {} on {}", lost.marked.empty() ? "" : ", ", job.id,
                               balls.size() == 1 ? "a mark" : "marks", first_of(std::move(balls)));
  }
  return lost;
}

bool too_much(const Lost& lost) {
  return !lost.marked.empty() || lost.balls.size() * kMayGo > lost.of;
}

Error asks(const std::string& files, const std::string& part, const Lost& lost) {
  return {
      ErrorCode::kChoice,
      fmt::format("{} leaves out {} of {}'s {} balls ({}): --add adds its names and keeps them, --replace "
                  "takes it for all of {}",
                  files, lost.balls.size(), part, lost.of,
                  lost.marked.empty() ? first_of(lost.balls) : lost.marked, part)};
}

// How the part is known.
struct KnownBy {
  std::size_t files = 0;
  bool other_formats = false, lands = false, names = false;
};

KnownBy known_by(const BoardIndex& board, Index part, const std::vector<store::SourceFile>& kept,
                 const std::string& format) {
  KnownBy known;
  const auto& lands = board.board().lands;
  known.lands = std::any_of(lands.begin(), lands.end(), [&](const Land& l) { return l.part == part; });
  for (const Index at : board.pins_of_part(part))
    known.names = known.names || !board.board().pins[at].function.empty();
  for (const store::SourceFile& file : kept) {
    if (!importers::is_bare_part(file.format) || file.part != board.board().parts[part].reference) continue;
    ++known.files;
    known.other_formats = known.other_formats || file.format != format;
  }
  return known;
}

Index part_of_list(const BoardIndex& board, const join::Source& list, const std::string& part,
                   bool lists_alone) {
  if (!part.empty()) return board.part(part);
  if (lists_alone && board.board().parts.size() == 1) return 0;
  return join::fitting_part(board, list.board).part;
}

}  // namespace

Result<std::optional<ListPlace>> place_of_list(const BoardIndex& board,
                                               const std::vector<store::SourceFile>& kept,
                                               const join::Source& list, const std::string& part,
                                               ListWish wish, const std::vector<Job>& jobs) {
  using Place = std::optional<ListPlace>;
  const bool lists_alone = all_lists(kept);
  const Index of = part_of_list(board, list, part, lists_alone);
  if (of == kNone || wish == ListWish::kReplace) return Place();
  if (!lists_alone) {
    const auto by_list = join::list_parts(board);
    if (std::find(by_list.begin(), by_list.end(), of) == by_list.end()) return Place();
  }
  const std::string& reference = board.board().parts[of].reference;
  const Balls balls = balls_of(list.board);
  std::size_t named = 0;
  std::size_t named_again = 0;
  for (const Index at : board.pins_of_part(of)) {
    const Pin& pin = board.board().pins[at];
    if (pin.function.empty()) continue;
    ++named;
    named_again += balls.count(key_of(pin.number));
  }
  const Place adds = ListPlace{of, (named - named_again) * kMayGo <= named};
  const Lost lost = lost_of(board, of, balls, jobs);
  const std::size_t shared = lost.of - lost.balls.size();
  const bool most = shared * kRevision >= lost.of;
  if (wish == ListWish::kAdd) return adds;
  if (part.empty() && !most && shared * 2 < balls.size())
    return Error{
        ErrorCode::kChoice,
        fmt::format("{}: {} of its {} balls are {}'s; --part {} adds them to it, --part with another "
                    "reference makes another part",
                    list.file, shared, balls.size(), reference, reference)};
  const KnownBy known = known_by(board, of, kept, list.format);
  if (!known.names || !most || (known.lands && !known.other_formats)) return adds;
  if (known.other_formats) return Place();  // held against the others: nothing goes
  if (known.files > 1) return adds;
  if (!too_much(lost)) return Place();
  if (wish == ListWish::kCareful) return adds;
  return asks(list.file, reference, lost);
}

Result<std::string> add_names(Board& board, Index part, const join::Source& list) {
  const auto pins_of = [&] {
    return static_cast<std::size_t>(std::count_if(board.pins.begin(), board.pins.end(),
                                                  [&](const Pin& pin) { return pin.part == part; }));
  };
  std::set<Site> sites;
  std::vector<std::string> fresh;
  {
    const PartNames there(board, part);
    for (const Pin& pin : list.board.pins) {
      if (there.pin(pin.number) != kNone) continue;
      fresh.push_back(pin.number);
      if (const auto site = parse_ball(pin.number)) sites.insert(*site);
    }
  }
  if (const Status put = put_sites_on(board, part, sites); !put.ok()) return put.error();
  for (const std::string& number : fresh) {
    if (!parse_ball(number)) board.pins.push_back({part, number, "", PinType::kUnknown, kNone});
  }
  PartNames names(board, part);
  std::size_t named = 0;
  for (const Pin& pin : list.board.pins) {
    const Index at = names.pin(pin.number);
    // A list may have balls without a name, and names that only repeat the ball: these say nothing new.
    if (at == kNone || pin.function.empty()) continue;
    if (!board.pins[at].function.empty() && join::repeats_ball(pin.number, pin.function)) continue;
    const std::string net = pin.net == kNone ? std::string() : list.board.nets[pin.net].name;
    // As lists alone are read: NC and its kin are no wire.
    const PinType type = importers::names_no_pin(pin.function) ? PinType::kNotConnected : pin.type;
    names.name(at, {pin.function, net == pin.function ? std::string() : net, type});
    ++named;
  }
  drop_empty_nets(board);
  const std::size_t all = pins_of();
  std::string said = fmt::format("{} of {} balls named; {} kept", named, all, all - named);
  if (!fresh.empty())
    said +=
        fmt::format("; {} that {} had not: {}", fresh.size(), board.parts[part].reference, first_of(fresh));
  return said;
}

void settle_nets(const Board& before, Board& after) {
  const BoardIndex was(before);
  for (Index part = 0; part < after.parts.size(); ++part) {
    const Index old = was.part(after.parts[part].reference);
    PartNames names(after, part);
    for (Index at = 0; at < after.pins.size(); ++at) {
      Pin& pin = after.pins[at];
      if (pin.part != part || pin.function.empty()) continue;
      const Index before_at = old == kNone ? kNone : was.pin(old, pin.number);
      const bool same = before_at != kNone && before.pins[before_at].function == pin.function;
      if (same && pin.net != kNone) continue;
      pin.net = kNone;
      if (importers::names_no_pin(pin.function)) continue;
      names.name(at, {pin.function, "", PinType::kUnknown});
    }
  }
  drop_empty_nets(after);
}

Status balls_stay(const Board& before, const Board& after, const std::string& files,
                  const std::vector<Job>& jobs) {
  const BoardIndex was(before);
  const BoardIndex is(after);
  for (Index part = 0; part < before.parts.size(); ++part) {
    Balls stay;
    const Index now = is.part(before.parts[part].reference);
    if (now != kNone) {
      for (const Index at : is.pins_of_part(now)) stay.insert(key_of(after.pins[at].number));
    }
    const Lost lost = lost_of(was, part, stay, jobs);
    if (too_much(lost)) return asks(files, before.parts[part].reference, lost);
  }
  return done();
}

}  // namespace landfall::app
