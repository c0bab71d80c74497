// The window's state and the one door through which it changes: an action in, a new state out. No SDL, no
// ImGui: the same session is driven by tests.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "netdb/model/package.hpp"
#include "viewer/app/about.hpp"
#include "viewer/app/desk.hpp"
#include "viewer/app/find.hpp"
#include "viewer/app/find_boards.hpp"
#include "viewer/app/import_task.hpp"
#include "viewer/app/intake.hpp"
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

// Going about.
struct SelectPin {
  Index pin = kNone;
};
struct ChooseSites {  // several at once, by a rectangle: the next mark is for all of them
  std::vector<Index> pins;
};
struct Follow {  // a name in the sheet
  Topic topic;
};
struct GoBack {};
struct GoForward {};
struct SingleOut {  // pale all else on the map; nothing, or the same again: all as before
  std::optional<Topic> topic;
};
struct FindText {
  std::string text;
};
struct FindWide {  // over all boards of the bench, or over the open one alone; without one it is always wide
  bool wide = false;
};
struct GoToHit {
  std::size_t hit = 0;  // of the hits here, then of those on other boards
};
struct CopySheet {};
struct Leave {};  // one step back: finds, then what was chosen, then the selection, then the map

// Marking. One action is one gesture: one transaction, one undo.
struct MarkPin {
  Index pin = kNone;
  std::optional<MarkKind> kind;  // none: take the mark off
};
struct MarkMany {
  std::vector<Index> pins;
  std::optional<MarkKind> kind;
};
struct TypeMarks {  // "AB14 AB16..AB20 torn", "A1=sound B2=loose", "A1..A4 off"
  std::string text;
};
struct NoteMark {
  Index pin = kNone;
  std::string text;
};
struct Undo {};
struct Redo {};
enum class MarkOrder { kNeed, kBall, kKind, kNet, kTime };
inline constexpr int kMarkOrders = 5;
std::string_view word(MarkOrder order);
struct OrderMarks {
  MarkOrder order = MarkOrder::kNeed;
};

// Boards and jobs.
struct OpenJob {
  std::int64_t job = 0;
};
struct OpenPart {
  std::int64_t board = 0;
  std::string part;  // empty: its largest package
};
struct ShowPart {  // another part of the board that is open
  Index part = kNone;
};
struct NewJob {
  std::vector<std::string> parts;  // empty: the part on the map
  std::string title;
  SafetyAnswer safety = SafetyAnswer::kNotAsked;
};
struct CloseJob {
  std::int64_t job = 0;
  bool closed = true;
};
struct AnswerSafety {
  bool critical = false;
};
struct BareBoard {
  std::string name, rows, columns, pitch_mm;  // as typed
};
struct ShowBench {};  // the start page; the board stays open
struct ShowMap {};
struct ImportFiles {
  std::vector<std::filesystem::path> files;  // all of one design
  std::optional<std::int64_t> into;
};
struct PasteTable {  // a ball table as text: looked at, kept nowhere; Leave drops it
  std::string text;
};
struct UseColumn {  // of the pasted table
  std::size_t column = 0;
  importers::ColumnUse use = importers::ColumnUse::kSkipped;
};
struct SeeTableFrom {  // a grid without numbers: drawn from the top or from below
  bool bottom = false;
};
struct AcceptTable {  // the pasted table goes onto the bench, as an import
  std::string name;   // of the new board
  std::string part;   // of which part it is; empty: the one that it fits
  std::optional<std::int64_t> into;
};
struct StopImport {};
struct PollWork {};                   // a thread of the session has something to say
struct ReadWarnings {                 // what was skipped or doubted while a board was read
  std::optional<std::int64_t> board;  // none: put the list away
};
struct ShowPlan {};     // the plan with its map and board, and back
struct ShowVerdict {};  // the verdict in place of the map, and back
struct ChooseLine {     // of the plan, by its place in the list: its ball is selected
  std::size_t line = 0;
};
struct NoteOutcome {  // what came of a line of the plan
  int number = 0;
  bool worked = false;
};
struct NoteJobOutcome {  // what came of the job as a whole
  bool worked = false;
  std::string note;
};
// 'What if': tried on the plan's page, kept nowhere until it is said so.
struct TryFigure {             // a figure of the verdict; empty: as the shop has it
  std::string setting, value;  // as typed
};
struct LeaveOutWire {  // of the repair, or back into it
  int number = 0;
  bool out = true;
};
struct DropTrial {};
struct KeepFigure {  // one that is tried goes into the settings
  std::string setting;
};
struct ShowBoard {};  // the whole board in place of the map, and back
struct OtherSide {};  // of the board
struct GoToPin {      // on the map of its own part
  Index pin = kNone;
};
// A bare package's own shape. Undo and Redo go by these while it is being shaped.
struct ShapePackage {};            // begin, and end
struct RubOut {                    // sites that the package has not
  std::vector<std::string> sites;  // "E5", "C3..F6"
};
struct PutBack {
  std::vector<std::string> sites;
};
struct NameBall {
  std::string ball, name;  // an empty name takes it off
};
struct TypeShape {  // "C3..F6 out", "E5 back", "A1=VDD B2=DQ0"
  std::string text;
};
// Photos of the job.
struct ShowPhotos {};  // in place of the map, and back
struct NextPhoto {};
struct AddPhotos {
  std::vector<std::filesystem::path> files;
};
struct PhotoUnder {};  // under the lands on the map, or not
struct ClickPhoto {    // a land's middle in the picture; the next land chosen on the map is matched with it
  photo::Pixel pixel;
};
struct MatchLand {
  Index pin = kNone;
};
struct TakeBackMatch {};
struct Propose {};  // damage that the photo may show; nothing is marked
struct StepProposal {
  bool back = false;
};
// Readings of the job, in the order of the measuring sheet.
struct ShowReadings {};  // in place of the map, and back; begins at the selected ball's net
struct ReadAs {          // what is typed next, and what the sheet shows
  ReadingMode mode = ReadingMode::kDiode;
  ReadingStage stage = ReadingStage::kBefore;
};
struct GoToReading {
  std::size_t row = 0;
};
struct StepReading {
  bool back = false;
};
struct TypeReadings {  // "0.452", "OL", "-" passes one; several go to the rows from the present one on
  std::string text;
};
struct TakeBackReading {};  // of the present row and stage
struct KnowGood {           // this board is one to compare others with
  bool good = true;
};
// Where the symptoms meet. What is dark or good is kept with the intake's answers.
struct ShowSuspects {};  // in place of the map, and back
struct TypeSymptoms {    // the nets in the place of those named before; an empty text: none
  std::string text;
  bool good = false;  // seen to work; else dark
};
struct TurnSymptom {  // the nets of these pins become dark, or good; where all are, they become neither
  std::vector<Index> pins;
  bool good = false;
};
struct StepSuspect {
  bool back = false;
};
struct GoToSuspect {  // to its place on the map
  std::size_t suspect = 0;
};
// What is asked when the board comes in.
struct ShowIntake {};  // in place of the map, and back
struct AnswerIntake {  // an empty answer takes it back; "safety-critical" is a topic as well
  std::string topic, answer;
};
// The shelf of donor boards, in place of the bench's list.
struct ShowShelf {};  // and back
struct FindDonors {   // who has this part: a piece of its value, footprint or reference
  std::string text;
};
struct ShelveJob {
  std::int64_t job = 0;
  bool on = true;
  std::string note;
};
struct TakePart {  // off a shelved board, or it was not
  std::int64_t job = 0;
  std::string part;
  bool taken = true;
};
// Jobs to other benches and from them, in place of the bench's list.
struct ShowSharing {};  // and back
struct HandOverJob {
  std::int64_t job = 0;
  std::string file;  // as typed; it must not be there yet
  bool settings = false, photos = true;
};
struct TakeInFile {
  std::filesystem::path file;
  std::optional<Prefer> prefer;  // what holds where both changed a site; none: it is asked
};
struct Refresh {};  // another program may have changed the bench file

// How it looks.
struct SetLook {
  Look look;
};
struct NextTheme {};
struct SetTextSize {
  bool larger = true;
};
struct NextUnits {};
struct ToggleInspection {};
struct Complain {  // the window itself has something to refuse
  std::string text;
};

using Action = std::variant<
    SelectPin, ChooseSites, Follow, GoBack, GoForward, SingleOut, FindText, FindWide, GoToHit, CopySheet,
    Leave, MarkPin, MarkMany, TypeMarks, NoteMark, Undo, Redo, OrderMarks, OpenJob, OpenPart, ShowPart,
    NewJob, CloseJob, AnswerSafety, BareBoard, ShowBench, ShowMap, ImportFiles, PasteTable, UseColumn,
    SeeTableFrom, AcceptTable, StopImport, PollWork, ReadWarnings, ShowPlan, ShowVerdict, ChooseLine,
    NoteOutcome, TryFigure, LeaveOutWire, DropTrial, KeepFigure, ShowBoard, OtherSide, GoToPin, ShapePackage,
    RubOut, PutBack, NameBall, TypeShape, ShowPhotos, NextPhoto, AddPhotos, PhotoUnder, ClickPhoto, MatchLand,
    TakeBackMatch, Propose, StepProposal, Refresh, SetLook, NextTheme, SetTextSize, NextUnits,
    ToggleInspection, NoteJobOutcome, ShowReadings, ReadAs, GoToReading, StepReading, TypeReadings,
    TakeBackReading, KnowGood, ShowSuspects, TypeSymptoms, TurnSymptom, StepSuspect, GoToSuspect, ShowIntake,
    AnswerIntake, ShowShelf, FindDonors, ShelveJob, TakePart, ShowSharing, HandOverJob, TakeInFile, Complain>;

// One row of the list of marks.
struct MarkRow {
  Index pin = kNone;  // kNone: a mark whose ball the board has not (any more)
  std::string part, ball, net, note;
  std::optional<MarkKind> kind;  // none: cut off, which nobody marked
  rework::Need need = rework::Need::kNone;
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
enum class BenchPage { kShelf, kSharing };

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
  std::vector<std::vector<IntakeStep>> done, undone;  // one list is one undo
};

struct SuspectDesk {
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
};

struct SharingDesk {
  std::filesystem::path file;  // waits for what holds, or was taken in
  std::vector<TakenIn> jobs;   // of it
  bool waits = false;          // for a word on its conflicts: nothing was taken in
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
  rework::Assessment assessment;
  std::vector<MarkRow> marks;  // in `order`
  MarkOrder order = MarkOrder::kNeed;
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
  std::vector<PlanLine> lines;              // of the plan, made with it
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

  std::shared_ptr<ImportTask> import;  // while one runs
  std::vector<std::string> import_files;
  std::optional<Pasted> pasted;             // a table that waits for Accept
  bool shaping = false;                     // the package on the map is being shaped
  std::vector<ShapeStep> shaped, unshaped;  // of the open board and part, oldest first: undo and redo
  std::optional<Warnings> warnings;
  std::map<std::int64_t, JobSummary> summaries;  // of the bench page's jobs, as they are made
  std::shared_ptr<SummaryTask> summing;          // while it runs
  std::function<void()> wake;                    // called from the session's threads

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

// What keys act on: the chosen sites, else the selected ball; empty when there is neither.
std::vector<Index> acted_on(const Session& session);

// "14:02:11", local time of a UTC time as now_utc() writes it; empty for anything else.
std::string clock_text(const std::string& utc);

}  // namespace landfall::app
