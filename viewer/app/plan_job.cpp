// A job's plan and verdict: the shop's settings laid over the pure functions of netdb/rework.
#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "netdb/packages/packages.hpp"
#include "netdb/rework/plan/words.hpp"
#include "netdb/rework/sites.hpp"
#include "viewer/app/desk.hpp"
#include "viewer/app/facts.hpp"

namespace landfall::app {
namespace {

using rework::verdict::VerdictCase;

// The shop's figures, with what is tried over them; the first error stands.
class Figures {
 public:
  Figures(store::Bench& bench, const Overlay& what_if) : bench_(bench), what_if_(what_if) {}

  double value(const SettingInfo& info) {
    if (const auto found = what_if_.find(std::string(info.name)); found != what_if_.end())
      return found->second;
    const auto own = setting(bench_, info);
    if (own.ok()) return *own;
    if (!error_) error_ = own.error();
    return info.standard;
  }
  // The shop set it, or it is being tried.
  bool stated(std::string_view name) {
    if (what_if_.contains(std::string(name))) return true;
    const auto own = bench_.setting(std::string(name));
    if (!own.ok() && !error_) error_ = own.error();
    return own.ok() && own->has_value();
  }
  double value(std::string_view name) {
    const SettingInfo* info = find_setting(name);
    return info == nullptr ? 0 : value(*info);
  }
  [[nodiscard]] const std::optional<Error>& error() const { return error_; }

 private:
  store::Bench& bench_;
  const Overlay& what_if_;
  std::optional<Error> error_;
};

Status check_overlay(const Overlay& what_if) {
  for (const auto& [name, value] : what_if) {
    const SettingInfo* info = find_setting(name);
    if (info == nullptr) return Error{ErrorCode::kUsage, fmt::format("there is no setting {}", name)};
    if (!(value >= info->least && value <= info->most)) {
      return Error{ErrorCode::kUsage, fmt::format("{} must lie between {} and {} {}", name, info->least,
                                                  info->most, info->unit)};
    }
  }
  return std::monostate{};
}

// Memory channels that the lifted parts serve.
std::set<Index> memory_channels(const JobAnswer& job) {
  std::set<Index> channels;
  for (const auto& group : job.assessment.channels) {
    if (job.board->signals().channels[group.group].kind == InterfaceKind::kMemory)
      channels.insert(group.group);
  }
  return channels;
}

// What only other memory channels need is left out.
std::vector<char> nets_for(const JobAnswer& job, const std::set<Index>& memories, Index channel) {
  const Signals& signals = job.board->signals();
  std::vector<char> nets(signals.nets.size(), 0);
  for (std::size_t n = 0; n < nets.size(); ++n) {
    const NetSignal& signal = signals.nets[n];
    const bool of_other =
        signal.channel != kNone && signal.channel != channel && memories.contains(signal.channel);
    const bool shared =
        std::find(signal.shared_with.begin(), signal.shared_with.end(), channel) != signal.shared_with.end();
    nets[n] = !of_other || shared ? 1 : 0;
  }
  return nets;
}

// The shop's own cases, by the chance that each tells about; see cases().
std::array<rework::verdict::Tally, rework::verdict::kChanceKinds> tallies(
    const std::vector<Outcome>& outcomes) {
  std::array<rework::verdict::Tally, rework::verdict::kChanceKinds> counted{};
  for (const Outcome& outcome : cases(outcomes)) {
    for (std::size_t kind = 0; kind < counted.size(); ++kind) {
      if (rework::verdict::word(static_cast<rework::verdict::ChanceKind>(kind)) != outcome.kind) continue;
      (outcome.worked ? counted[kind].worked : counted[kind].failed) += 1;
    }
  }
  return counted;
}

void set_done(rework::Plan& plan, const std::vector<Outcome>& stand) {
  const auto worked = [&](const std::string& site, Point place, bool rebuild) {
    const Outcome* outcome = outcome_at(stand, site, place, rebuild);
    return outcome != nullptr && outcome->worked;
  };
  for (auto& wire : plan.wires) wire.done = worked(wire.from, wire.jumper.to.at, false);
  for (auto& rebuild : plan.rebuilds) rebuild.done = worked(rebuild.at, {}, true);
}

// "4 wires are judged at DDR3-1600, which nobody stated: assumed (setting speed.ddr3)"; empty where none is.
std::string assumed_text(const rework::Plan& plan) {
  std::set<std::string> grades;
  std::set<std::string> settings;
  int wires = 0;
  for (const auto& wire : plan.wires) {
    const auto& judged = wire.judgement;
    if (!judged.grade_assumed) continue;
    ++wires;
    grades.insert(judged.grade);
    settings.insert(judged.grade_setting);
  }
  if (wires == 0) return "";
  return fmt::format("{} judged at {}, which nobody stated: assumed ({} {})",
                     wires == 1 ? "1 wire is" : fmt::format("{} wires are", wires), fmt::join(grades, ", "),
                     noun_of(settings.size(), "setting"), fmt::join(settings, ", "));
}

// "left as they are, since the board can do without them: U1.K5 (HDMI_SDA)"; empty where nothing is.
std::string spared_text(const JobAnswer& job) {
  const OpenBoard& board = *job.board;
  std::string list;
  int sites = 0;
  for (const auto& site : job.assessment.sites) {
    if (!site.spared) continue;
    ++sites;
    const Index net = board.board().pins[site.pin].net;
    list += fmt::format("{}{} ({})", list.empty() ? "" : ", ", board.index().pin_text(site.pin),
                        board.board().nets[net].name);
  }
  const auto& cut_off = job.assessment.cut_off;
  for (const Fact& fact : job.job.facts) {
    const Index pin = fact.kind == FactKind::kSpared ? rework::pin_named(board.index(), fact.a) : kNone;
    if (pin == kNone || std::find(cut_off.begin(), cut_off.end(), pin) == cut_off.end()) continue;
    ++sites;
    list += fmt::format("{}{} ({})", list.empty() ? "" : ", ", fact.a,
                        board.board().nets[board.board().pins[pin].net].name);
  }
  if (sites == 0) return "";
  return fmt::format("left as {}, since the board can do without {}, as you said: {}",
                     sites == 1 ? "it is" : "they are", sites == 1 ? "it" : "them", list);
}

int wires_in(const rework::verdict::Work& work) {
  int wires = 1000 * work.cannot;
  for (const auto& group : work.groups) wires += group.done ? 0 : group.count;
  return wires;
}

void offer_one_channel(const PlanAnswer& answer, const rework::Plan& plan, int parts, VerdictCase& verdict) {
  const std::set<Index> memories = memory_channels(answer.job);
  if (memories.size() < 2) {
    verdict.no_channel =
        memories.empty() ? "no memory channel was found on this board" : "the board has one memory channel";
    return;
  }
  for (const Index channel : memories) {
    rework::verdict::Work work =
        rework::work_of(plan, answer.job.assessment, parts, nets_for(answer.job, memories, channel));
    if (verdict.one_channel && wires_in(work) >= wires_in(*verdict.one_channel)) continue;
    verdict.channel = answer.job.board->signals().channels[channel].name;
    verdict.one_channel = std::move(work);
  }
  if (wires_in(*verdict.one_channel) < wires_in(verdict.repair)) return;
  verdict.one_channel.reset();
  verdict.channel.clear();
  verdict.no_channel = "no channel alone takes less work than all of them";
}

}  // namespace

namespace {

rework::PlanInput plan_input(const PlanAnswer& answer, Figures& figures) {
  const OpenBoard& board = *answer.job.board;
  rework::PlanInput input;
  input.index = &board.index();
  input.signals = &board.signals();
  input.copper = &board.copper();
  input.assessment = &answer.job.assessment;
  input.packages = answer.packages;
  input.wire = std::llround(figures.value("wire.bare") * static_cast<double>(kNmPerMm));
  input.supply_wire = std::llround(figures.value("wire.supply") * static_cast<double>(kNmPerMm));
  input.clearance = std::llround(figures.value("escape.clearance") * static_cast<double>(kNmPerMm));
  input.slack_share = figures.value("wire.slack") / 100;
  input.limits = rework::physics::shop_limits([&](const SettingInfo& info) { return figures.value(info); });
  input.rate = [&](std::string_view id) { return figures.value("speed." + std::string(id)); };
  input.rate_stated = [&](std::string_view id) { return figures.stated("speed." + std::string(id)); };
  return input;
}

// A wire that failed moves the plan, not its numbers. Where none were given out they are those of the job
// before anything was tried.
Status number_untried(store::Bench& bench, const PlanAnswer& answer, rework::PlanInput& input) {
  const OpenBoard& board = *answer.job.board;
  const auto supplies = supply_rule(bench);
  if (!supplies.ok()) return supplies.error();
  const auto rules = untried_rules(bench, board, answer.job.job);
  if (!rules.ok()) return rules.error();
  const rework::Assessment untried =
      rework::assess(board.index(), board.signals(), board.copper(), answer.job.job, *supplies, *rules);
  rework::PlanInput before = input;
  before.assessment = &untried;
  input.numbers = rework::number_pieces(before);
  return std::monostate{};
}

bool ends_there(const BoardIndex& index, const std::string& end, Point place) {
  const Index pin = rework::pin_named(index, end.substr(0, end.find(" (")));  // "R5.1 (terminal)"
  if (pin == kNone) return end.ends_with(index.place_text(place));
  const auto lands = index.lands_of_pin(pin);
  return std::any_of(lands.begin(), lands.end(),
                     [&](Index land) { return index.board().lands[land].at == place; });
}

// The number of the piece that failed: the wire between its two ends, else any wire or rebuild of its site,
// which may have been mended another way when the number was given out.
int number_of_failed(const BoardIndex& index, const std::vector<rework::NumberedPiece>& numbers,
                     const Outcome& outcome) {
  int number = 0;
  int best = 0;
  for (const rework::NumberedPiece& piece : numbers) {
    if (rework::near_end(piece.site) != outcome.site) continue;
    const bool alike = piece.rebuild == is_rebuild(outcome);
    const bool there =
        alike && (piece.rebuild || ends_there(index, rework::far_end(piece.site), outcome.place));
    const int fit = there ? 3 : alike ? 2 : 1;
    if (fit <= best) continue;
    best = fit;
    number = piece.number;
  }
  return number;
}

// `failed`: the words that stand.
Status number_as_before(store::Bench& bench, std::vector<Outcome> failed, PlanAnswer& answer,
                        rework::PlanInput& input) {
  const auto kept = bench.kept_numbers(answer.job.job.id);
  if (!kept.ok()) return kept.error();
  for (const KeptNumber& one : *kept)
    input.numbers.push_back({one.number, one.site, answer.job.board->index().net(one.net), one.rebuild});
  std::erase_if(failed, [](const Outcome& outcome) { return outcome.worked || outcome.site.empty(); });
  if (failed.empty()) return std::monostate{};
  if (kept->empty()) {
    if (auto status = number_untried(bench, answer, input); !status.ok()) return status;
  }
  for (Outcome& outcome : failed) {
    const int number = number_of_failed(answer.job.board->index(), input.numbers, outcome);
    answer.failed.push_back({number, std::move(outcome), false});
  }
  std::stable_sort(answer.failed.begin(), answer.failed.end(),
                   [](const FailedPiece& a, const FailedPiece& b) { return a.number < b.number; });
  return std::monostate{};
}

bool has(const std::vector<int>& numbers, int number) {
  return std::find(numbers.begin(), numbers.end(), number) != numbers.end();
}

// The verdict on the answer's plan, less the wires that are left out.
Status weigh(store::Bench& bench, PlanAnswer& answer, Figures& figures, const std::vector<int>& without) {
  for (const int number : without) {
    const bool known = std::any_of(answer.plan.wires.begin(), answer.plan.wires.end(),
                                   [&](const rework::PlannedWire& wire) { return wire.number == number; });
    if (!known) return Error{ErrorCode::kNotFound, fmt::format("the plan has no wire {}", number)};
  }
  answer.before_work.reset();
  rework::Plan counted = answer.plan;
  std::erase_if(counted.wires, [&](const rework::PlannedWire& wire) { return has(without, wire.number); });
  const int parts = std::max<int>(static_cast<int>(answer.job.job.lifted.size()), 1);
  VerdictCase verdict;
  verdict.repair = rework::work_of(counted, answer.job.assessment, parts);
  const auto outcomes = bench.all_outcomes();
  if (!outcomes.ok()) return outcomes.error();
  verdict.outcomes = tallies(*outcomes);
  verdict.shop = rework::verdict::shop_figures([&](const SettingInfo& info) { return figures.value(info); });
  offer_one_channel(answer, counted, parts, verdict);
  answer.stays_lost = rework::stays_lost(plan_input(answer, figures), answer.plan, without);
  if (figures.error()) return *figures.error();
  auto given = rework::verdict::give_verdict(verdict);
  if (!given.ok()) return given.error();
  answer.verdict = std::move(given).value();
  if (answer.verdict->behind.done > 0) {
    VerdictCase untouched = verdict;
    for (auto& group : untouched.repair.groups) group.done = false;
    auto at_first = rework::verdict::give_verdict(untouched);
    if (!at_first.ok()) return at_first.error();
    answer.before_work = std::move(at_first).value();
  }
  auto& remarks = answer.verdict->remarks;
  if (answer.job.job.marks.empty()) remarks.emplace_back(kNothingMarked);
  if (auto spared = spared_text(answer.job); !spared.empty()) remarks.push_back(std::move(spared));
  if (auto assumed = assumed_text(counted); !assumed.empty()) remarks.push_back(std::move(assumed));
  remarks.insert(remarks.end(), answer.stays_lost.says.begin(), answer.stays_lost.says.end());
  if (!answer.stays_lost.channels.empty()) {
    remarks.push_back(
        fmt::format("'repair' here still counts price.repair, {:.2f}: does the customer pay that for a "
                    "board on which this stays down?",
                    figures.value("price.repair")));
  }
  return std::monostate{};
}

// What the verdict alone reads; every other setting may move the plan.
bool moves_the_plan(const std::string& setting) {
  const auto figures = rework::verdict::figures();
  return setting != "board.is-shops" &&
         std::none_of(figures.begin(), figures.end(),
                      [&](const rework::verdict::Figure& figure) { return figure.setting == setting; });
}

}  // namespace

Result<PlanAnswer> plan_job(store::Bench& bench, JobAnswer job, const Overlay& what_if,
                            const std::vector<int>& without) {
  if (const Status status = check_overlay(what_if); !status.ok()) return status.error();
  PlanAnswer answer{std::move(job), {}, std::nullopt, {}, {}, {}, std::nullopt};
  if (answer.job.job.safety_critical == SafetyAnswer::kYes) return answer;
  Figures figures(bench, what_if);
  const OpenBoard& board = *answer.job.board;
  for (const std::string& reference : answer.job.job.lifted) {
    if (const Index part = board.index().part(reference); part != kNone)
      answer.packages.push_back(packages::package_of(board.index(), part));
  }
  rework::PlanInput input = plan_input(answer, figures);
  const auto outcomes = bench.outcomes(answer.job.job.id);
  if (!outcomes.ok()) return outcomes.error();
  const std::vector<Outcome> stand = standing(*outcomes);
  if (const Status status = number_as_before(bench, stand, answer, input); !status.ok())
    return status.error();
  answer.plan = rework::make_plan(input);
  set_done(answer.plan, stand);
  for (FailedPiece& failed : answer.failed) {
    const auto same = [&](const auto& piece) { return piece.number == failed.number; };
    failed.again = std::any_of(answer.plan.wires.begin(), answer.plan.wires.end(), same) ||
                   std::any_of(answer.plan.rebuilds.begin(), answer.plan.rebuilds.end(), same);
  }
  if (const Status status = weigh(bench, answer, figures, without); !status.ok()) return status.error();
  return answer;
}

Result<PlanAnswer> try_out(store::Bench& bench, const PlanAnswer& as_it_stands, const Overlay& what_if,
                           const std::vector<int>& without) {
  const bool anew =
      std::any_of(what_if.begin(), what_if.end(), [](const auto& one) { return moves_the_plan(one.first); });
  if (anew || !as_it_stands.verdict) return plan_job(bench, as_it_stands.job, what_if, without);
  if (const Status status = check_overlay(what_if); !status.ok()) return status.error();
  PlanAnswer answer = as_it_stands;
  Figures figures(bench, what_if);
  if (const Status status = weigh(bench, answer, figures, without); !status.ok()) return status.error();
  return answer;
}

Status give_out_numbers(store::Bench& bench, const PlanAnswer& answer) {
  const auto& nets = answer.job.board->board().nets;
  const auto name = [&](Index net) { return net == kNone ? std::string() : nets[net].name; };
  std::vector<KeptNumber> numbers;
  for (const auto& wire : answer.plan.wires)
    numbers.push_back({wire.number, rework::ends_text(answer.job.board->index(), wire.jumper),
                       name(wire.jumper.net), false});
  for (const auto& rebuild : answer.plan.rebuilds)
    numbers.push_back({rebuild.number, rebuild.at, rebuild.net, true});
  for (const FailedPiece& failed : answer.failed) {
    if (failed.number > 0 && !failed.again)
      numbers.push_back({failed.number, failed.outcome.site, "", is_rebuild(failed.outcome)});
  }
  const auto kept = bench.kept_numbers(answer.job.job.id);
  if (!kept.ok()) return kept.error();
  std::erase_if(numbers, [&](const KeptNumber& one) {
    return std::any_of(kept->begin(), kept->end(),
                       [&](const KeptNumber& known) { return known.number == one.number; });
  });
  return numbers.empty() ? Status(std::monostate{}) : bench.keep_numbers(answer.job.job.id, numbers);
}

Result<PlanAnswer> plan_job(store::Bench& bench, std::string_view job) {
  auto assessed = assess_job(bench, job);
  if (!assessed.ok()) return assessed.error();
  return plan_job(bench, std::move(assessed).value(), {});
}

}  // namespace landfall::app
