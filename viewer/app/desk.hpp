// The operations that both faces, window and command line, share: finding things by what people type, opening
// a board with its answers, importing. Here the clock and the file system come in.
#pragma once

#include <filesystem>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "netdb/join/by_name.hpp"
#include "netdb/model/board_index.hpp"
#include "netdb/model/package.hpp"
#include "netdb/model/settings.hpp"
#include "netdb/model/signal.hpp"
#include "netdb/rework/assess.hpp"
#include "netdb/rework/copper/copper.hpp"
#include "netdb/rework/plan/leave_out.hpp"
#include "netdb/rework/plan/plan.hpp"
#include "netdb/rework/verdict/verdict.hpp"
#include "netdb/store/bench.hpp"

namespace landfall::app {

// UTC, ISO 8601, to the second.
std::string now_utc();

// $XDG_DATA_HOME/landfall/bench.sqlite, or ~/.local/share/landfall/bench.sqlite; %APPDATA% on Windows.
std::filesystem::path default_bench_file();

// 0 is done; 1 not found or 'no'; 2 usage; 3 bad input or a choice to make; 4 the bench file.
int exit_code(ErrorCode code);

// Small letters; plain ASCII only, so that no locale matters.
std::string lower(std::string_view text);

// A board with everything that is derived from it. Not movable: the index points into it.
class OpenBoard {
 public:
  // Parts known by lists alone are joined by their names here, so that an alias taken back parts them again.
  OpenBoard(store::BoardInfo info, Board board, std::vector<NameRule> rules,
            const std::vector<NameAlias>& aliases = {});
  // A board that was joined by name before, with the joins that were made.
  OpenBoard(store::BoardInfo info, join::JoinedByName joined, const std::vector<NameRule>& rules);
  OpenBoard(const OpenBoard&) = delete;
  OpenBoard& operator=(const OpenBoard&) = delete;
  OpenBoard(OpenBoard&&) = delete;
  OpenBoard& operator=(OpenBoard&&) = delete;
  ~OpenBoard() = default;

  [[nodiscard]] const store::BoardInfo& info() const { return info_; }
  [[nodiscard]] const Board& board() const { return board_; }
  [[nodiscard]] const BoardIndex& index() const { return index_; }
  [[nodiscard]] const Signals& signals() const { return signals_; }
  [[nodiscard]] const std::vector<join::NameJoin>& name_joins() const { return joins_; }
  [[nodiscard]] const std::vector<join::NameConflict>& name_conflicts() const { return conflicts_; }
  [[nodiscard]] const rework::Copper& copper() const { return copper_; }

 private:
  store::BoardInfo info_;
  std::vector<join::NameJoin> joins_;
  std::vector<join::NameConflict> conflicts_;
  Board board_;
  BoardIndex index_;
  Signals signals_;
  rework::Copper copper_;
};

// By name or number, or an unambiguous beginning of a name. kNotFound, or kChoice with the candidates.
Result<store::BoardInfo> find_board(store::Bench& bench, std::string_view text);
Result<std::shared_ptr<const OpenBoard>> open_board(store::Bench& bench, std::string_view text);
Result<std::shared_ptr<const OpenBoard>> open_board(store::Bench& bench, std::int64_t id);

// By number, or an unambiguous beginning of a title.
Result<Job> find_job(store::Bench& bench, std::string_view text);

// A part by its reference, in any case. kNotFound names the nearest.
Result<Index> find_part(const OpenBoard& board, std::string_view reference);
// "U1.AB14" in any case, leading zeros allowed.
Result<Index> find_pin(const OpenBoard& board, std::string_view part_and_ball);
// "ab14" of "AB014": what two names of one ball share.
std::string plain_ball(std::string_view ball);
Result<Index> find_ball(const OpenBoard& board, Index part, std::string_view ball);
// A net by its name as written, else tolerant of case and of a leading slash or path.
Result<Index> find_net(const OpenBoard& board, std::string_view name);

// The shop's figures, with what was changed on this bench.
Result<double> setting(store::Bench& bench, const SettingInfo& info);
Result<SupplyRule> supply_rule(store::Bench& bench);
// What the shop's figures and the files' disagreements say of mending on this board,
// and what the job's own facts and failed wires do.
Result<rework::MendRules> mend_rules(store::Bench& bench, const OpenBoard& board, const Job& job);
// The same as if nothing had been tried yet: what numbers the plan.
Result<rework::MendRules> untried_rules(store::Bench& bench, const OpenBoard& board, const Job& job);

// The job's answer on its board.
struct JobAnswer {
  Job job;
  std::shared_ptr<const OpenBoard> board;
  rework::Assessment assessment;
};
Result<JobAnswer> assess_job(store::Bench& bench, std::string_view job);

// A piece of the plan that was tried and failed at its place, and was not good there since. It keeps its
// number; what the plan does at that site instead has the same one.
struct FailedPiece {
  int number = 0;  // 0: its site is no part of the plan
  Outcome outcome;
  bool again = false;  // the plan has another way for it
};

// The job's plan, and what it is worth. No plan and no verdict for a safety-critical job (TRADE T45): `plan`
// is then empty and `verdict` is none.
struct PlanAnswer {
  JobAnswer job;
  rework::Plan plan;
  std::optional<rework::verdict::Verdict> verdict;
  std::vector<Package> packages;    // of the lifted parts
  std::vector<FailedPiece> failed;  // what was tried and failed, by number
  rework::StaysLost stays_lost;     // through wires that were left out
  // The verdict as if nothing of it were done yet, where something is: what the shop's record is kept of.
  std::optional<rework::verdict::Verdict> before_work;
};
Result<PlanAnswer> plan_job(store::Bench& bench, std::string_view job);
// The same for a job that is open, with settings laid over the shop's ('what if'); kUsage for a setting that
// is none or out of bounds. `without`: numbers of wires in the plan that are left out of the verdict.
using Overlay = std::map<std::string, double>;
Result<PlanAnswer> plan_job(store::Bench& bench, JobAnswer job, const Overlay& what_if,
                            const std::vector<int>& without = {});
// The same upon an answer that was made without any trial: the plan is made anew only where a setting moves
// it.
Result<PlanAnswer> try_out(store::Bench& bench, const PlanAnswer& as_it_stands, const Overlay& what_if,
                           const std::vector<int>& without);

// A remark of the verdict on a job without marks.
inline constexpr std::string_view kNothingMarked =
    "nothing is marked yet: the figures are of a board with no damage under the chip";

// From now on the plan's pieces have the numbers that they have in this answer, whatever marks follow: for a
// sheet that goes to the bench, or an outcome that names one.
Status give_out_numbers(store::Bench& bench, const PlanAnswer& answer);

// Opens a job. kUsage without lifted parts; kNotFound for a part that is not on the board.
Result<Job> new_job(store::Bench& bench, const OpenBoard& board, const std::vector<std::string>& parts,
                    const std::string& title, SafetyAnswer safety);

}  // namespace landfall::app
