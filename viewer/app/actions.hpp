// What the window can ask of its session: small structs, each one gesture.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "netdb/model/job.hpp"
#include "netdb/model/reading.hpp"
#include "netdb/photo/align.hpp"
#include "viewer/app/paste.hpp"
#include "viewer/app/preferences.hpp"
#include "viewer/app/sharing.hpp"
#include "viewer/app/topic.hpp"

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
struct TellFact {  // "open AB3", "joined AB3 U3.T3", "spare K5": as the command line takes it
  std::string text;
};
struct TakeBackFact {
  std::int64_t fact = 0;
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
// The next of the enamelled wires in place of the shop's, for a trial; after the last, the shop's own again.
struct TryWire {};
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
struct WriteSheets {  // of a job, on paper
  std::int64_t job = 0;
  std::filesystem::path file;  // as typed; .pdf unless it says otherwise
  bool letter = false;         // paper, else A4
};
struct TakeInFile {
  std::filesystem::path file;
  std::optional<Prefer> prefer;  // what holds where both changed a site; none: it is asked
};
// Which names of two lists are one signal, in place of the bench's list.
struct ShowNames {  // of this board, and back
  std::int64_t board = 0;
};
struct AcceptNames {  // a proposed group, or one pair of it
  std::size_t group = 0;
  std::optional<std::size_t> pair;
};
struct AddName {  // as typed: a name, or PART:NAME
  std::string from, to;
};
struct RemoveNames {  // none: all of them
  std::optional<std::int64_t> alias;
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
    Leave, MarkPin, MarkMany, TypeMarks, TellFact, TakeBackFact, NoteMark, Undo, Redo, OrderMarks, OpenJob,
    OpenPart, ShowPart, NewJob, CloseJob, AnswerSafety, BareBoard, ShowBench, ShowMap, ImportFiles,
    PasteTable, UseColumn, SeeTableFrom, AcceptTable, StopImport, PollWork, ReadWarnings, ShowPlan,
    ShowVerdict, ChooseLine, NoteOutcome, NoteJobOutcome, TryFigure, LeaveOutWire, DropTrial, TryWire,
    KeepFigure, ShowBoard, OtherSide, GoToPin, ShapePackage, RubOut, PutBack, NameBall, TypeShape, ShowPhotos,
    NextPhoto, AddPhotos, PhotoUnder, ClickPhoto, MatchLand, TakeBackMatch, Propose, StepProposal,
    ShowReadings, ReadAs, GoToReading, StepReading, TypeReadings, TakeBackReading, KnowGood, ShowSuspects,
    TypeSymptoms, TurnSymptom, StepSuspect, GoToSuspect, ShowIntake, AnswerIntake, ShowShelf, FindDonors,
    ShelveJob, TakePart, ShowSharing, HandOverJob, WriteSheets, TakeInFile, ShowNames, AcceptNames, AddName,
    RemoveNames, Refresh, SetLook, NextTheme, SetTextSize, NextUnits, ToggleInspection, Complain>;

}  // namespace landfall::app
