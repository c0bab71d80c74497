#include "viewer/app/desk.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <ctime>

#include <fmt/format.h>

#include "netdb/model/ball_name.hpp"
#include "netdb/model/unnamed.hpp"
#include "netdb/signals/signals.hpp"
#include "viewer/app/facts.hpp"

namespace landfall::app {
namespace {

constexpr std::size_t kListed = 8;

std::filesystem::path environment(const char* name) {
  const char* value = std::getenv(name);
  return value == nullptr ? std::filesystem::path() : std::filesystem::path(value);
}

// Names near a wrong one: equal but for case, a common beginning, or one sign apart.
template <class Names>
std::string near_names(const Names& names, std::string_view wrong) {
  std::vector<std::string> near;
  const std::string small = lower(wrong);
  for (const std::string& name : names) {
    const std::string own = lower(name);
    const bool close = own.size() == small.size() &&
                       std::count_if(own.begin(), own.end(), [&, i = std::size_t{0}](char c) mutable {
                         return c != small[i++];
                       }) == 1;
    if (close || own.starts_with(small)) near.push_back(name);
  }
  std::sort(near.begin(), near.end(), natural_less);
  if (near.empty()) return {};
  std::string text = "; near it: ";
  for (std::size_t i = 0; i < near.size() && i < kListed; ++i) text += (i == 0 ? "" : ", ") + near[i];
  if (near.size() > kListed) text += " ...";
  return text;
}

// What to do instead: a file stands on the disk, not on the bench.
std::string what_is_known(std::string_view text, const std::vector<store::BoardInfo>& boards) {
  std::error_code ignored;
  if (std::filesystem::is_regular_file(std::filesystem::path(text), ignored))
    return "that is a file: landfall import reads it, then its board has a name";
  if (boards.empty()) return "known: none yet";
  std::string known = "known: ";
  for (std::size_t i = 0; i < boards.size() && i < kListed; ++i)
    known += (i == 0 ? "" : ", ") + boards[i].name;
  return boards.size() > kListed ? known + fmt::format(" and {} more", boards.size() - kListed) : known;
}

}  // namespace

std::string plain_ball(std::string_view ball) {
  const auto site = parse_ball(ball);
  return lower(site ? ball_text(*site) : std::string(ball));
}

std::string now_utc() {
  const std::time_t now = std::time(nullptr);
  std::tm utc{};
#ifdef _WIN32
  gmtime_s(&utc, &now);
#else
  gmtime_r(&now, &utc);
#endif
  return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}Z", utc.tm_year + 1900, utc.tm_mon + 1, utc.tm_mday,
                     utc.tm_hour, utc.tm_min, utc.tm_sec);
}

std::filesystem::path default_bench_file() {
  const std::filesystem::path own = std::filesystem::path("landfall") / "bench.sqlite";
  if (const auto data = environment("XDG_DATA_HOME"); !data.empty()) return data / own;
  if (const auto data = environment("APPDATA"); !data.empty()) return data / own;
  if (const auto home = environment("HOME"); !home.empty()) return home / ".local" / "share" / own;
  return own;
}

int exit_code(ErrorCode code) {
  switch (code) {
    case ErrorCode::kNotFound:
      return 1;
    case ErrorCode::kUsage:
      return 2;
    case ErrorCode::kInput:
    case ErrorCode::kChoice:
      return 3;
    case ErrorCode::kBench:
      return 4;
  }
  return 2;
}

std::string lower(std::string_view text) {
  std::string small(text);
  for (char& c : small) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return small;
}

OpenBoard::OpenBoard(store::BoardInfo info, Board board, std::vector<NameRule> rules,
                     const std::vector<NameAlias>& aliases)
    : OpenBoard(std::move(info), join::joined_by_name(std::move(board), aliases), rules) {}

OpenBoard::OpenBoard(store::BoardInfo info, join::JoinedByName joined, const std::vector<NameRule>& rules)
    : info_(std::move(info)),
      joins_(std::move(joined.joins)),
      conflicts_(std::move(joined.conflicts)),
      board_(std::move(joined.board)),
      index_(board_),
      signals_(signals::analyse(index_, rules)),
      copper_(board_) {
  for (const join::NameJoin& one : joins_) {
    const Index net = index_.net(one.net);
    if (net != kNone)
      signals_.nets[net].why.push_back({"joined by name: " + one.says, one.from + "; no copper says so"});
  }
}

Result<store::BoardInfo> find_board(store::Bench& bench, std::string_view text) {
  const auto reading = bench.reading();
  std::vector<store::BoardInfo> found;
  if (!text.empty()) {
    auto called = bench.boards_called(text);
    if (!called.ok()) return called.error();
    found = std::move(called).value();
  }
  for (const store::BoardInfo& info : found) {
    if (lower(info.name) == lower(text)) return info;
  }
  if (const auto number = parse_integer(text)) {
    auto info = bench.board_info(*number);
    if (info.ok() || info.error().code != ErrorCode::kNotFound) return info;
  }
  if (found.size() == 1) return found.front();
  if (found.empty()) {
    const auto boards = bench.boards();
    if (!boards.ok()) return boards.error();
    return Error{ErrorCode::kNotFound,
                 fmt::format("there is no board {}; {}", text, what_is_known(text, *boards))};
  }
  std::string names;
  for (const store::BoardInfo& info : found)
    names += fmt::format("{}{} ({})", names.empty() ? "" : ", ", info.name, info.id);
  return Error{ErrorCode::kChoice, fmt::format("several boards begin with {}: {}", text, names)};
}

namespace {

// A file says what joins what, and not lists of balls alone.
bool is_wired(const Board& board) {
  return !board.tracks.empty() || !board.arcs.empty() || !board.vias.empty() || !board.fills.empty() ||
         joins_parts(board);
}

// A ball without a name is not unconnected where nothing says what joins what: it may carry anything. Each
// has a net of its own, so that its loss counts, as a bound, until it is named.
void own_nets_of_unnamed(Board& board) {
  for (Pin& pin : board.pins) {
    if (pin.net != kNone || !pin.function.empty() || pin.type != PinType::kUnknown) continue;
    pin.net = static_cast<Index>(board.nets.size());
    board.nets.push_back({unnamed_net_name(board.parts[pin.part].reference, pin.number), true, {}});
  }
  for (Land& land : board.lands) {
    if (land.pin != kNone && land.net == kNone) land.net = board.pins[land.pin].net;
  }
}

}  // namespace

Result<std::shared_ptr<const OpenBoard>> open_board(store::Bench& bench, std::int64_t id) {
  const auto reading = bench.reading();
  auto info = bench.board_info(id);
  if (!info.ok()) return info.error();
  auto board = bench.board(id);
  if (!board.ok()) return board.error();
  auto rules = bench.rules(id);
  if (!rules.ok()) return rules.error();
  const auto aliases = bench.aliases(id);
  if (!aliases.ok()) return aliases.error();
  const bool wired = is_wired(*board);
  join::JoinedByName joined = join::joined_by_name(std::move(board).value(), *aliases);
  if (!wired) own_nets_of_unnamed(joined.board);
  return std::shared_ptr<const OpenBoard>(
      std::make_shared<OpenBoard>(std::move(info).value(), std::move(joined), *rules));
}

Result<std::shared_ptr<const OpenBoard>> open_board(store::Bench& bench, std::string_view text) {
  const auto reading = bench.reading();
  auto info = find_board(bench, text);
  if (!info.ok()) return info.error();
  return open_board(bench, info->id);
}

Result<Job> find_job(store::Bench& bench, std::string_view text) {
  if (const auto number = parse_integer(text)) return bench.job(*number);
  std::vector<Job> found;
  if (!text.empty()) {
    auto titled = bench.jobs_titled(text);
    if (!titled.ok()) return titled.error();
    found = std::move(titled).value();
  }
  if (found.size() == 1) return found.front();
  if (found.empty()) return Error{ErrorCode::kNotFound, fmt::format("there is no job {}", text)};
  std::string names;
  for (const Job& job : found) names += fmt::format("{}{} {}", names.empty() ? "" : ", ", job.id, job.title);
  return Error{ErrorCode::kChoice, fmt::format("several jobs begin with {}: {}", text, names)};
}

Result<Index> find_part(const OpenBoard& board, std::string_view reference) {
  const Index exact = board.index().part(reference);
  if (exact != kNone) return exact;
  std::vector<std::string> names;
  for (std::size_t i = 0; i < board.board().parts.size(); ++i) {
    const std::string& name = board.board().parts[i].reference;
    if (lower(name) == lower(reference)) return static_cast<Index>(i);
    names.push_back(name);
  }
  return Error{ErrorCode::kNotFound, fmt::format("{} has no part {}{}", board.info().name, reference,
                                                 near_names(names, reference))};
}

Result<Index> find_ball(const OpenBoard& board, Index part, std::string_view ball) {
  const Index exact = board.index().pin(part, ball);
  if (exact != kNone) return exact;
  const std::string plain = plain_ball(ball);
  std::vector<std::string> names;
  for (const Index pin : board.index().pins_of_part(part)) {
    const std::string& name = board.board().pins[pin].number;
    if (plain_ball(name) == plain) return pin;
    names.push_back(name);
  }
  const std::string& reference = board.board().parts[part].reference;
  return Error{ErrorCode::kNotFound,
               fmt::format("{} has no ball {}{}", reference, ball, near_names(names, ball))};
}

Result<Index> find_pin(const OpenBoard& board, std::string_view part_and_ball) {
  const auto dot = part_and_ball.rfind('.');
  if (dot == std::string_view::npos)
    return Error{ErrorCode::kUsage,
                 fmt::format("{}: a site is written PART.BALL, such as U1.AB14", part_and_ball)};
  const auto part = find_part(board, part_and_ball.substr(0, dot));
  if (!part.ok()) return part.error();
  return find_ball(board, *part, part_and_ball.substr(dot + 1));
}

Result<Index> find_net(const OpenBoard& board, std::string_view name) {
  const Index exact = board.index().net(name);
  if (exact != kNone) return exact;
  const std::string wanted = lower(plain_name(name));
  std::vector<Index> found;
  std::vector<std::string> names;
  for (std::size_t i = 0; i < board.board().nets.size(); ++i) {
    const Net& net = board.board().nets[i];
    bool same = lower(plain_name(net.name)) == wanted || lower(plain_name(leaf_name(net.name))) == wanted;
    for (const std::string& alias : net.aliases) same = same || lower(plain_name(alias)) == wanted;
    if (same) found.push_back(static_cast<Index>(i));
    names.push_back(net.name);
  }
  if (found.size() == 1) return found.front();
  if (found.empty())
    return Error{ErrorCode::kNotFound,
                 fmt::format("{} has no net {}{}", board.info().name, name, near_names(names, name))};
  std::string list;
  for (const Index net : found) list += (list.empty() ? "" : ", ") + board.board().nets[net].name;
  return Error{ErrorCode::kChoice, fmt::format("several nets are called {}: {}", name, list)};
}

Result<double> setting(store::Bench& bench, const SettingInfo& info) {
  auto own = bench.setting(std::string(info.name));
  if (!own.ok()) return own.error();
  return own->value_or(info.standard);
}

Result<SupplyRule> supply_rule(store::Bench& bench) {
  const auto share = setting(bench, *find_setting("supply.spare-share"));
  if (!share.ok()) return share.error();
  const auto least = setting(bench, *find_setting("supply.spare-least"));
  if (!least.ok()) return least.error();
  const auto optional = setting(bench, *find_setting("supply.optional-share"));
  if (!optional.ok()) return optional.error();
  return SupplyRule{*share / 100, static_cast<int>(*least), *optional / 100};
}

Result<rework::MendRules> mend_rules(store::Bench& bench, const OpenBoard& board, const Job& job) {
  auto rules = untried_rules(bench, board, job);
  if (!rules.ok()) return rules.error();
  auto outcomes = bench.outcomes(job.id);
  if (!outcomes.ok()) return outcomes.error();
  ban_failed(*outcomes, rules.value());
  return rules;
}

Result<rework::MendRules> untried_rules(store::Bench& bench, const OpenBoard& board, const Job& job) {
  rework::MendRules rules;
  const auto reach = setting(bench, *find_setting("torn.reach"));
  if (!reach.ok()) return reach.error();
  rules.torn_reach = std::llround(*reach * static_cast<double>(kNmPerMm));
  const auto disagreements = bench.disagreements(board.info().id);
  if (!disagreements.ok()) return disagreements.error();
  const auto both = setting(bench, *find_setting("landings.both-sides"));
  if (!both.ok()) return both.error();
  rules.both_sides = *both > 0.5;
  rules.doubted_nets.assign(board.board().nets.size(), 0);
  for (const store::KeptDisagreement& one : *disagreements) {
    const Index net = board.index().net(one.net);
    if (net != kNone) rules.doubted_nets[net] = 1;
  }
  for (const join::NameJoin& one : board.name_joins()) {
    const Index net = board.index().net(one.net);
    if (net != kNone) rules.doubted_nets[net] = rework::kJoinedByName;
  }
  add_job_rules(board, job, rules);
  return rules;
}

Result<JobAnswer> assess_job(store::Bench& bench, std::string_view text) {
  const auto reading = bench.reading();
  auto job = find_job(bench, text);
  if (!job.ok()) return job.error();
  auto board = open_board(bench, job->board);
  if (!board.ok()) return board.error();
  const auto rule = supply_rule(bench);
  if (!rule.ok()) return rule.error();
  JobAnswer answer{std::move(job).value(), std::move(board).value(), {}};
  lay_facts_over_marks(answer.job);
  answer.board = board_as_told(bench, answer.board, answer.job);
  const auto rules = mend_rules(bench, *answer.board, answer.job);
  if (!rules.ok()) return rules.error();
  answer.assessment = rework::assess(answer.board->index(), answer.board->signals(), answer.board->copper(),
                                     answer.job, *rule, *rules);
  return answer;
}

Result<Job> new_job(store::Bench& bench, const OpenBoard& board, const std::vector<std::string>& parts,
                    const std::string& title, SafetyAnswer safety) {
  if (parts.empty()) return Error{ErrorCode::kUsage, "a job needs at least one lifted part"};
  Job job;
  job.board = board.info().id;
  job.title = title;
  job.safety_critical = safety;
  for (const std::string& text : parts) {
    const auto part = find_part(board, text);
    if (!part.ok()) return part.error();
    const std::string& reference = board.board().parts[*part].reference;
    if (std::find(job.lifted.begin(), job.lifted.end(), reference) == job.lifted.end())
      job.lifted.push_back(reference);
  }
  const auto id = bench.new_job(job, now_utc());
  if (!id.ok()) return id.error();
  return bench.job(*id);
}

}  // namespace landfall::app
