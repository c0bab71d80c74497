// The window's state and the one door through which it changes: an action in, a new state out. No SDL, no
// ImGui: the same session is driven by tests.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "netdb/model/package.hpp"
#include "viewer/app/about.hpp"
#include "viewer/app/actions.hpp"
#include "viewer/app/desk.hpp"
#include "viewer/app/find.hpp"
#include "viewer/app/find_boards.hpp"
#include "viewer/app/import_task.hpp"
#include "viewer/app/intake.hpp"
#include "viewer/app/job_end.hpp"
#include "viewer/app/lists.hpp"
#include "viewer/app/paste.hpp"
#include "viewer/app/plan_lines.hpp"
#include "viewer/app/preferences.hpp"
#include "viewer/app/proposals.hpp"
#include "viewer/app/readings.hpp"
#include "viewer/app/sharing.hpp"
#include "viewer/app/sheet.hpp"
#include "viewer/app/shelf.hpp"
#include "viewer/app/summary_task.hpp"
#include "viewer/app/suspects.hpp"

namespace landfall::app {

// One row of the list of marks.
struct MarkRow {
  Index pin = kNone;  // kNone: a mark whose ball the board has not (any more)
  std::string part, ball, net, note;
  std::optional<MarkKind> kind;  // none: cut off, which nobody marked
  rework::Need need = rework::Need::kNone;
  bool open = false;  // cut off by a reading, not by a mark
};

// A figure of the verdict as the plan's page offers it for trying.
struct TrialFigure {
  const SettingInfo* info = nullptr;
  double now = 0;               // the shop's
  std::optional<double> tried;  // for this look only
  bool matters = false;         // some option that is offered reads it
};

struct Pasted {
  std::string text;
  importers::ReadOptions options;  // as the user corrected it
  TableLook look;
};

// One change of a bare package's shape, and what it takes to go back.
struct ShapeStep {
  enum class Kind { kRub, kRestore, kName };
  Kind kind = Kind::kRub;
  std::vector<SiteName> before;  // the balls with their names as they were
  std::vector<SiteName> after;   // kName: the new names
  std::string words;             // "U1: 12 sites rubbed out"
};

struct Warnings {
  std::string board;
  std::vector<store::SourceFile> sources;
  std::vector<store::KeptDisagreement> disagreements;
  std::vector<std::string> notes;
};

// Where the sheet and the map have been.
struct Step {
  Topic topic;
  Index part = kNone;  // on the map then
};

// The photos of the job that is open, read when they are asked for.
struct PhotoDesk {
  std::vector<LaidPhoto> photos;
  std::size_t at = 0;                             // the one that shows
  std::shared_ptr<const photo::Picture> picture;  // its pixels, shrunk to kShownSide at most
  std::vector<SeenLand> lands;                    // of it
  std::vector<PhotoMatch> matches;                // as clicked; kept as soon as they fit
  std::optional<photo::Pixel> clicked;            // awaits its land
  std::optional<Proposals> proposals;             // once asked for
  std::size_t proposal = 0;                       // the one that is being looked at
  [[nodiscard]] const LaidPhoto* shown() const { return at < photos.size() ? &photos[at] : nullptr; }
};
inline constexpr int kShownSide = 2048;  // pixels: what every renderer takes as one texture

// Pages of the job that stand in the map's place, beside board, plan and photos.
enum class JobPage { kIntake, kSuspects, kReadings };

// Pages that stand in the place of the bench's list.
enum class BenchPage { kShelf, kSharing, kNames };

// One place and stage of one mode: the reading that stood there, and the one that does.
struct ReadingChange {
  std::optional<MeterReading> before, after;
};

// The measuring sheet of the job that is open.
struct ReadingDesk {
  ReadingStage stage = ReadingStage::kBefore;  // of what is typed
  ReadingSheet sheet;
  std::size_t at = 0;                                    // the row that is typed next
  std::vector<std::vector<ReadingChange>> done, undone;  // one list is one undo, oldest first
  [[nodiscard]] const ReadingRow* row() const { return at < sheet.rows.size() ? &sheet.rows[at] : nullptr; }
};

// One step of the work on the map. Marks are the bench's own gestures; a step of facts says what it changed.
struct WorkStep {
  std::vector<Fact> gone, told;  // both empty: a gesture of marks
  [[nodiscard]] bool is_fact() const { return !gone.empty() || !told.empty(); }
};

// One answer of the intake and what it leads to.
struct IntakeRow {
  const IntakeTopic* topic = nullptr;
  std::string answer, at;  // UTC; empty: not answered
  std::string caution;     // empty: none
};

struct IntakeStep {
  std::string topic, before, after;
};

struct IntakeDesk {
  std::vector<IntakeRow> rows;                        // in the order of the form
  std::vector<std::string> cautions;                  // the gravest first, with what nobody answered yet
  std::vector<std::string> power;                     // what to do before a meter touches the board
  std::vector<std::vector<IntakeStep>> done, undone;  // one list is one undo
};

struct SuspectDesk {
  std::shared_ptr<const OpenBoard> board;  // as it was read then
  rework::Symptoms symptoms;
  rework::SuspectAnswer answer;
  std::size_t at = 0;  // the suspect that is looked at
};

struct ShelfDesk {
  struct Row {
    store::Shelved shelved;
    std::string board, title;
  };
  std::vector<Row> rows;  // newest first
  std::string text;       // the part that is looked for
  std::vector<Donor> donors;
  rework::record::Tally tally;  // how past verdicts fared
  rework::record::Money money;  // the same in money, over time
};

struct SharingDesk {
  std::filesystem::path file;     // waits for what holds, or was taken in
  std::vector<TakenIn> jobs;      // of it
  bool waits = false;             // for a word on its conflicts: nothing was taken in
  std::filesystem::path there{};  // sheets that would replace a file: asked once more, they do
};

// Names were accepted in one go, or taken away.
struct NamesStep {
  std::vector<NameAlias> aliases;
  bool added = true;
};

// Of one board: which names of one part are which of another.
struct NamesDesk {
  store::BoardInfo board;
  std::vector<NameAlias> aliases;             // accepted
  std::vector<join::NameGroup> groups;        // proposed, best first
  std::vector<join::NameConflict> conflicts;  // equal names that were not joined
  std::size_t joined = 0;                     // signals joined by name in all
  std::vector<NamesStep> done, undone;        // of this sitting, oldest first
};

struct Session {  // NOLINT(clang-analyzer-optin.performance.Padding): one is made; it is ordered by subject
  std::filesystem::path bench_file;
  std::shared_ptr<store::Bench> bench;
  std::vector<store::BoardInfo> boards;  // the start page
  std::vector<Job> jobs;

  std::shared_ptr<const OpenBoard> board;  // none: the start page shows
  bool bench_page = true;                  // the start page shows although a board is open
  Package package;                         // on the map
  std::optional<Job> job;
  std::optional<Outcome> end;  // what came of that job as a whole, where it is noted
  rework::Assessment assessment;
  std::vector<MarkRow> marks;  // in `order`
  MarkOrder order = MarkOrder::kNeed;
  std::vector<WorkStep> worked, unworked;  // of the job in this sitting, oldest first: undo and redo
  std::shared_ptr<const FindIndex> index;

  Index selected = kNone;        // the ball that keys act on
  std::vector<Index> chosen;     // several, by a rectangle; then keys act on these
  std::optional<Topic> topic;    // what the sheet is about
  std::optional<Sheet> sheet;    // of the topic
  std::vector<Step> been, next;  // back and forward; the present topic is in neither
  std::optional<Topic> single_out;
  std::string find_text;
  std::vector<Hit> hits;
  std::size_t hits_total = 0;
  bool find_wide = false;
  std::vector<FarHit> far_hits;  // on other boards, when it is wide
  std::size_t far_total = 0;
  NamesByBoard names;                        // read for that
  std::shared_ptr<NamesTask> reading_names;  // while it runs

  Look look;
  std::optional<Look> map_look;  // the map's own while the plan's page has another
  Preferences preferences;
  bool inspection = false;
  bool plan_page = false;                   // the plan shows in place of the map
  bool verdict_page = false;                // the verdict shows in place of the map
  std::shared_ptr<const PlanAnswer> plan;   // of the job as it is now; made when it is asked for
  std::vector<Outcome> outcomes;            // of the job, made with the plan
  std::vector<PlanLine> lines;              // of the plan that shows, made with it
  std::size_t line = 0;                     // the chosen one
  Overlay trial_figures;                    // 'what if', by setting; together with
  std::vector<int> trial_without;           // wires left out: the trial; both empty: none
  std::shared_ptr<const PlanAnswer> tried;  // the plan with the trial; none without one
  std::int64_t trial_job = 0;               // whose trial it is
  std::vector<TrialFigure> figures;         // what can be tried, made with the plan
  bool board_is_told = false;               // nets were named by the job's facts
  bool board_view = false;                  // the whole board shows in place of the map
  bool bottom_side = false;                 // of the board
  bool photo_page = false;                  // the photos show in place of the map
  bool photo_under = false;                 // the photo shows under the lands on the map
  std::optional<PhotoDesk> photos;          // of the job; none before they were asked for
  std::optional<JobPage> page;              // shows in place of the map
  std::optional<ReadingDesk> readings;      // of the job
  std::optional<IntakeDesk> intake;         // of the job
  std::optional<SuspectDesk> suspects;      // of the job; none before they were asked for
  std::optional<BenchPage> bench_view;      // shows in place of the bench's list
  std::optional<ShelfDesk> shelf;           // once it was asked for
  SharingDesk sharing;
  std::optional<NamesDesk> joining;  // once it was asked for

  std::shared_ptr<ImportTask> import;  // while one runs
  std::vector<std::string> import_files;
  std::optional<Pasted> pasted;             // a table that waits for Accept
  bool shaping = false;                     // the package on the map is being shaped
  std::vector<ShapeStep> shaped, unshaped;  // of the open board and part, oldest first: undo and redo
  std::optional<Warnings> warnings;
  std::map<std::int64_t, JobSummary> summaries;  // of the bench page's jobs, as they are made
  std::shared_ptr<SummaryTask> summing;          // while it runs
  std::function<void()> wake;                    // called from the session's threads
  // Writes a job's sheets and says which they are; the program sets it, since sheets know the session's kind
  // of answers and not the other way round.
  std::function<Result<std::string>(store::Bench&, const WriteSheets&)> write_sheets;

  std::string message;  // what was just done, or what is wrong
  bool message_is_error = false;
  std::vector<std::string> earlier;  // messages, oldest first
  std::string kept;                  // UTC, when the last gesture was kept
  std::string to_copy;               // for the clipboard; the window takes it
  std::int64_t seen_version = 0;
  std::uint64_t revision = 0;  // grows with every action: what is drawn can be kept while it stands still
};

// Opens the bench file and fills the start page.
Result<Session> start_session(const std::filesystem::path& bench_file);

// Applies one action. What is wrong stands in `message`; the rest of the state is then as it was.
void apply(Session& session, const Action& action);

// Asks every thread of the session to stop and waits for it; an import leaves the bench as it was.
void stop_work(Session& session);

// Whether find goes over all boards: when it was asked for, and always where none is open.
bool finds_wide(const Session& session);

// What keys act on: the chosen sites, else the selected ball; empty when there is neither.
std::vector<Index> acted_on(const Session& session);
// The plan that the plan's page shows: with the wire that is tried, else as it stands. None without a plan.
const PlanAnswer* shown_plan(const Session& session);
// The bare diameter that is tried in place of the shop's, mm.
std::optional<double> tried_wire(const Session& session);

// "14:02:11", local time of a UTC time as now_utc() writes it; empty for anything else.
std::string clock_text(const std::string& utc);

}  // namespace landfall::app
