#include "viewer/app/facts.hpp"

#include <algorithm>
#include <array>
#include <map>
#include <tuple>

#include <fmt/format.h>

#include "netdb/rework/sites.hpp"
#include "viewer/app/shelf.hpp"
#include "viewer/app/site_syntax.hpp"

namespace landfall::app {
namespace {

constexpr std::array<std::string_view, 8> kWays{"n", "ne", "e", "se", "s", "sw", "w", "nw"};

std::optional<Point> read_place(std::string_view text) {
  const auto comma = text.find(',');
  if (comma == std::string_view::npos) return std::nullopt;
  const auto x = parse_mm(text.substr(0, comma));
  const auto y = parse_mm(text.substr(comma + 1));
  if (!x || !y) return std::nullopt;
  return Point{*x, *y};
}

Error usage(const std::string& what) {
  return {ErrorCode::kUsage, what};
}

Result<std::string> pin_text(const OpenBoard& board, const std::string& text) {
  const auto pin = find_pin(board, text);
  if (!pin.ok()) return pin.error();
  return board.index().pin_text(*pin);
}

Result<Fact> place_fact(const OpenBoard& board, const std::vector<std::string>& words) {
  Fact fact;
  const bool ban = words[0] == "ban";
  if (words.size() < (ban ? 2U : 4U)) return usage("write: ban X,Y [MM], or point NAME X,Y PART.PIN");
  const auto place = read_place(words[ban ? 1 : 2]);
  if (!place)
    return usage(
        fmt::format("{}: a place is written X,Y in mm from the board's lower left corner, such as 31.2,14.05",
                    words[ban ? 1 : 2]));
  fact.place = *place + board.index().corner();
  if (ban) {
    fact.kind = FactKind::kBanned;
    const auto reach = words.size() > 2 ? parse_mm(words[2]) : parse_mm("0.3");
    if (!reach || *reach <= 0) return usage(fmt::format("{}: how far in mm", words[2]));
    fact.reach = *reach;
    return fact;
  }
  fact.kind = FactKind::kAdded;
  fact.name = words[1];
  auto pin = pin_text(board, words[3]);
  if (!pin.ok()) return pin.error();
  fact.a = std::move(pin).value();
  return fact;
}

struct FactForm {
  std::string_view word;
  std::vector<std::size_t> pins;  // which words are pins
};
const std::vector<FactForm>& forms() {
  static const std::vector<FactForm> all{{"joined", {1, 2}}, {"open", {1, 2}}, {"named", {1}},
                                         {"via-good", {1}},  {"toward", {1}},  {"spare", {1}},
                                         {"ban", {}},        {"point", {3}}};
  return all;
}
const FactForm* form_of(std::string_view word) {
  const auto found =
      std::find_if(forms().begin(), forms().end(), [&](const FactForm& form) { return form.word == word; });
  return found == forms().end() ? nullptr : &*found;
}

// "joined, open, named, ...".
std::string all_fact_words() {
  std::string list;
  for (const FactForm& form : forms()) list += fmt::format("{}{}", list.empty() ? "" : ", ", form.word);
  return list;
}

}  // namespace

bool is_fact_word(std::string_view word) {
  return form_of(word) != nullptr;
}

std::vector<std::string> fact_words(std::string_view line) {
  std::vector<std::string> words = words_in(line, " \t");
  if (!words.empty()) words.front() = lower(words.front());
  return words;
}

std::vector<std::size_t> pins_in_fact(const std::vector<std::string>& words) {
  const FactForm* form = words.empty() ? nullptr : form_of(words.front());
  std::vector<std::size_t> places = form == nullptr ? std::vector<std::size_t>() : form->pins;
  std::erase_if(places, [&](std::size_t place) { return place >= words.size(); });
  return places;
}

Result<Fact> tell_fact(store::Bench& bench, const OpenBoard& board, const Job& job,
                       const std::vector<std::string>& words, const std::string& now) {
  auto fact = read_fact(board, words);
  if (!fact.ok()) return fact.error();
  const auto id = bench.replace_facts(job.id, outdone_by(job, *fact), *fact, now);
  if (!id.ok()) return id.error();
  fact->id = *id;
  return fact;
}

Result<Fact> read_fact(const OpenBoard& board, const std::vector<std::string>& words) {
  if (words.empty()) return usage("say what is so: " + all_fact_words());
  if (words[0] == "ban" || words[0] == "point") return place_fact(board, words);
  if (words.size() < 2) return usage(fmt::format("{}: which pin? PART.PIN", words[0]));
  Fact fact;
  auto a = pin_text(board, words[1]);
  if (!a.ok()) return a.error();
  fact.a = std::move(a).value();
  const bool more = words.size() > 2;
  if (words[0] == "joined" || words[0] == "open") {
    fact.kind = words[0] == "joined" ? FactKind::kJoined : FactKind::kOpen;
    if (words[0] == "joined" && !more) return usage("joined needs two pins: PART.PIN PART.PIN");
    if (!more) return fact;
    auto b = pin_text(board, words[2]);
    if (!b.ok()) return b.error();
    fact.b = std::move(b).value();
    if (fact.a == fact.b) return usage(fmt::format("{}: two pins that differ", fact.a));
    const auto net_of = [&](const std::string& pin) { return board.board().pins[*find_pin(board, pin)].net; };
    if (fact.kind == FactKind::kJoined && net_of(fact.a) != net_of(fact.b)) {
      return usage(fmt::format("{} and {} are on different nets by the files: say `named` of one first",
                               fact.a, fact.b));
    }
    return fact;
  }
  if (words[0] == "via-good") {
    fact.kind = FactKind::kViaGood;
    return fact;
  }
  if (words[0] == "spare") {
    fact.kind = FactKind::kSpared;
    return fact;
  }
  if (!more) return usage(fmt::format("{} {}: one word more is needed", words[0], words[1]));
  fact.name = words[2];
  if (words[0] == "named") {
    fact.kind = FactKind::kNamed;
    // On a board whose nets are known a name that is none of them is a slip.
    if (board.board().parts.size() > 1) {
      const auto net = find_net(board, fact.name);
      if (!net.ok()) return net.error();
      fact.name = board.board().nets[*net].name;
    }
    return fact;
  }
  if (words[0] == "toward") {
    fact.kind = FactKind::kToward;
    fact.name = lower(words[2]);
    if (std::find(kWays.begin(), kWays.end(), fact.name) == kWays.end())
      return usage(fmt::format("{}: the way is n, ne, e, se, s, sw, w or nw, seen from the top", words[2]));
    return fact;
  }
  return usage(fmt::format("{} is no fact: {}", words[0], all_fact_words()));
}

std::vector<std::int64_t> outdone_by(const Job& job, const Fact& fact) {
  const auto measured = [](FactKind kind) { return kind == FactKind::kJoined || kind == FactKind::kOpen; };
  std::vector<std::int64_t> old;
  for (const Fact& other : job.facts) {
    const bool same_pins = (other.a == fact.a && (other.b == fact.b || other.b.empty() || fact.b.empty())) ||
                           (other.a == fact.b && other.b == fact.a);
    const bool again = measured(fact.kind)
                           ? measured(other.kind) && same_pins
                           : other.kind == fact.kind && other.a == fact.a && fact.kind != FactKind::kBanned &&
                                 fact.kind != FactKind::kAdded;
    if (again) old.push_back(other.id);
  }
  return old;
}

std::string fact_remark(const BoardIndex& index, const rework::Assessment& assessment, const Fact& fact) {
  const Index pin = fact.kind == FactKind::kSpared ? rework::pin_named(index, fact.a) : kNone;
  if (pin == kNone) return "";
  const auto& sites = assessment.sites;
  const auto& cut_off = assessment.cut_off;
  const Index net = index.board().pins[pin].net;
  // A lost ball that leads to it alone is spared by it.
  const bool lost = std::any_of(sites.begin(), sites.end(),
                                [&](const auto& site) {
                                  return site.pin == pin || (site.spared && net != kNone &&
                                                             index.board().pins[site.pin].net == net);
                                }) ||
                    std::find(cut_off.begin(), cut_off.end(), pin) != cut_off.end();
  if (lost) return "";
  return fmt::format("{} is not marked: that the board can do without it counts when it is lost", fact.a);
}

std::string fact_text(const BoardIndex& index, const Fact& fact) {
  const std::string place = index.place_text(fact.place);
  switch (fact.kind) {
    case FactKind::kJoined:
      return fmt::format("{} beeps to {}", fact.a, fact.b);
    case FactKind::kOpen:
      return fact.b.empty() ? fmt::format("{} is open to all of its net", fact.a)
                            : fmt::format("{} is open to {}", fact.a, fact.b);
    case FactKind::kNamed:
      return fmt::format("{} is {}", fact.a, fact.name);
    case FactKind::kViaGood:
      return fmt::format("the via at {} is good", fact.a);
    case FactKind::kToward:
      return fmt::format("only the trace from {} toward {} is torn", fact.a, fact.name);
    case FactKind::kBanned:
      return fmt::format("no landing within {} mm of {}", mm_text(fact.reach), place);
    case FactKind::kSpared:
      return fmt::format("the board can do without {}", fact.a);
    case FactKind::kAdded:
      return fmt::format("{} at {} reaches {}'s net", fact.name, place, fact.a);
  }
  return "";
}

Result<Outcome> outcome_of(const PlanAnswer& plan, int number) {
  using rework::verdict::ChanceKind;
  Outcome outcome;
  outcome.job = plan.job.job.id;
  for (const auto& wire : plan.plan.wires) {
    if (wire.number != number) continue;
    outcome.kind = std::string(word(wire.chance));
    outcome.site = wire.from;
    outcome.place = wire.jumper.to.at;
    return outcome;
  }
  for (const auto& rebuild : plan.plan.rebuilds) {
    if (rebuild.number != number) continue;
    outcome.kind = std::string(word(rebuild.rebuild.only_bond ? ChanceKind::kRebond : ChanceKind::kRebuild));
    outcome.site = rebuild.at;
    return outcome;
  }
  for (const FailedPiece& failed : plan.failed) {
    if (failed.number == number)
      return Error{
          ErrorCode::kNotFound,
          fmt::format("number {} failed, and the plan of job {} has no other way for {}: 'undone' takes "
                      "that word back",
                      number, outcome.job, failed.outcome.site)};
  }
  return Error{ErrorCode::kNotFound, fmt::format("the plan of job {} has no number {}", outcome.job, number)};
}

std::string failed_text(const FailedPiece& failed) {
  const Outcome& o = failed.outcome;
  const std::string number = failed.number > 0 ? fmt::format("{}: ", failed.number) : "";
  return fmt::format("{}{} failed {}, {}{}{}; {}", number, o.site, o.at.substr(0, 10), o.kind,
                     o.note.empty() ? "" : ": ", o.note,
                     is_rebuild(o)  ? "mark the site as it is now, and the plan follows"
                     : failed.again ? "the plan has another way for it"
                                    : "the plan has no other way for it");
}

void lay_facts_over_marks(Job& job) {
  for (const Fact& fact : job.facts) {
    const bool of_mark =
        fact.kind == FactKind::kViaGood || fact.kind == FactKind::kToward || fact.kind == FactKind::kSpared;
    if (!of_mark) continue;
    for (Mark& mark : job.marks) {
      if (mark.part + "." + mark.ball != fact.a) continue;
      if (fact.kind == FactKind::kViaGood) {
        mark.via_good = true;
      } else if (fact.kind == FactKind::kSpared) {
        mark.spared = true;
      } else {
        mark.only_toward = fact.name;
      }
    }
  }
}

std::shared_ptr<const OpenBoard> board_as_told(store::Bench& bench, std::shared_ptr<const OpenBoard> board,
                                               const Job& job) {
  const bool names = std::any_of(job.facts.begin(), job.facts.end(),
                                 [](const Fact& fact) { return fact.kind == FactKind::kNamed; });
  if (!names) return board;
  Board told = board->board();
  for (const Fact& fact : job.facts) {
    if (fact.kind != FactKind::kNamed) continue;
    const auto pin = find_pin(*board, fact.a);
    if (!pin.ok()) continue;
    const auto known = std::find_if(told.nets.begin(), told.nets.end(),
                                    [&](const Net& net) { return net.name == fact.name; });
    const auto net = static_cast<Index>(known - told.nets.begin());
    if (known == told.nets.end()) told.nets.push_back({fact.name, false, {}});
    told.pins[*pin].net = net;
    for (Land& land : told.lands) {
      if (land.pin == *pin) land.net = net;
    }
  }
  auto rules = bench.rules(board->info().id);
  join::JoinedByName joined{std::move(told), board->name_joins(), board->name_conflicts()};
  return std::make_shared<OpenBoard>(board->info(), std::move(joined),
                                     rules.ok() ? std::move(rules).value() : std::vector<NameRule>{});
}

void add_job_rules(const OpenBoard& board, const Job& job, rework::MendRules& rules) {
  for (const Fact& fact : job.facts) {
    if (fact.kind == FactKind::kBanned) rules.bans.push_back({fact.place, fact.reach});
    if (fact.kind != FactKind::kAdded) continue;
    const auto pin = find_pin(board, fact.a);
    if (!pin.ok()) continue;
    rework::Landing landing;
    landing.kind = rework::LandingKind::kAdded;
    landing.at = fact.place;
    landing.side = Side::kThrough;
    landing.pin = *pin;
    rules.added.push_back(landing);
  }
}

namespace {

// Of each piece of work the words that were not taken back, oldest first; the same word again is one.
using Words = std::map<std::tuple<std::int64_t, std::string_view, std::string_view, Point>,
                       std::vector<const Outcome*>>;

Words words_of(const std::vector<Outcome>& all) {
  Words words;
  // By time, so that two benches that have exchanged theirs agree.
  std::vector<const Outcome*> by_time;
  by_time.reserve(all.size());
  for (const Outcome& outcome : all) by_time.push_back(&outcome);
  std::stable_sort(by_time.begin(), by_time.end(),
                   [](const Outcome* a, const Outcome* b) { return a->at < b->at; });
  for (const Outcome* outcome : by_time) {
    auto& said = words[{outcome->job, outcome->kind, outcome->site, outcome->place}];
    // What is taken back is the word that the row says, and no other.
    if (!said.empty() && said.back()->worked == outcome->worked) said.pop_back();
    if (!outcome->withdrawn) said.push_back(outcome);
  }
  return words;
}

std::vector<Outcome> in_order(std::vector<const Outcome*> chosen) {
  // All point into one list.
  std::sort(chosen.begin(), chosen.end());
  std::vector<Outcome> out;
  out.reserve(chosen.size());
  for (const Outcome* one : chosen) out.push_back(*one);
  return out;
}

}  // namespace

std::vector<Outcome> standing(const std::vector<Outcome>& all) {
  std::vector<const Outcome*> last;
  for (const auto& [piece, said] : words_of(all)) {
    if (!said.empty()) last.push_back(said.back());
  }
  return in_order(std::move(last));
}

std::vector<Outcome> cases(const std::vector<Outcome>& all) {
  std::vector<const Outcome*> counted;
  for (const auto& [piece, said] : words_of(all)) {
    if (said.empty()) continue;
    // A job as a whole that failed and was gone through again is two goes of the base process.
    const auto first = is_of_whole_job(*said.back()) ? said.begin() : said.end() - 1;
    counted.insert(counted.end(), first, said.end());
  }
  return in_order(std::move(counted));
}

bool is_rebuild(const Outcome& outcome) {
  using rework::verdict::ChanceKind;
  return outcome.kind == word(ChanceKind::kRebuild) || outcome.kind == word(ChanceKind::kRebond);
}

const Outcome* outcome_at(const std::vector<Outcome>& standing, const std::string& site, Point place,
                          bool rebuild) {
  const Outcome* last = nullptr;
  for (const Outcome& outcome : standing) {
    if (outcome.site == site && outcome.place == place && is_rebuild(outcome) == rebuild) last = &outcome;
  }
  return last;
}

std::string_view word_of(const Outcome& outcome) {
  if (outcome.withdrawn) return "taken back";
  return outcome.worked ? "worked" : "failed";
}

Result<Outcome> withdrawal_of(const PlanAnswer& plan, const std::vector<Outcome>& outcomes, int number) {
  const std::vector<Outcome> stand = standing(outcomes);
  const Outcome* found = number == 0 ? outcome_at(stand, "", {}, false) : nullptr;
  if (const auto piece = outcome_of(plan, number); piece.ok())
    found = outcome_at(stand, piece->site, piece->place, is_rebuild(*piece));
  if (found == nullptr && number > 0) {
    for (const FailedPiece& failed : plan.failed) {
      if (failed.number == number && (found == nullptr || failed.outcome.id > found->id))
        found = &failed.outcome;
    }
  }
  if (found == nullptr)
    return Error{ErrorCode::kNotFound,
                 number == 0
                     ? fmt::format("nothing is noted on job {} as a whole", plan.job.job.id)
                     : fmt::format("nothing is noted on {} of the plan of job {}", number, plan.job.job.id)};
  Outcome row = *found;
  row.id = 0;
  row.withdrawn = true;
  row.note.clear();
  return row;
}

void ban_failed(const std::vector<Outcome>& all, rework::MendRules& rules) {
  for (const Outcome& outcome : standing(all)) {
    if (!outcome.worked && !outcome.site.empty() && !(outcome.place == Point{}))
      rules.bans.push_back({outcome.place});
  }
}

}  // namespace landfall::app
