// Shared by the session's sources; not for others.
#pragma once

#include "viewer/app/session.hpp"

namespace landfall::app {

void say(Session& s, std::string text);
void fail(Session& s, const Error& error);
void fill_start(Session& s);
// Reads the job and its answer anew; `what`: said, unless empty.
void reload_job(Session& s, const std::string& what);
// Makes the plan anew where its page shows, else forgets it.
void make_plan_anew(Session& s);
void order_marks(Session& s);
// Takes the names of other boards that a thread has read, and finds anew.
void take_names(Session& s);
// Makes the sheet of the present topic anew.
void make_sheet_anew(Session& s);
// Makes `topic` the sheet's, and remembers the one before for the way back.
void go_to(Session& s, std::optional<Topic> topic);
void show_part(Session& s, Index part);
void take_board(Session& s, std::shared_ptr<const OpenBoard> board);
// Puts the open board away, and its job: the bench shows.
void leave_board(Session& s);
// Not in the way of work, but seen: what was just told of a job whose end is noted may belong to another.
void remind_of_end(Session& s, const std::string& words);
// One more step of the work, which ends the way forward.
void add_work_step(Session& s, WorkStep step);
// A step of facts back, or again.
// kNotFound: another window has changed these facts meanwhile. What went wrong is said.
Status step_facts(Session& s, const WorkStep& step, bool redo);
void keep_look(Session& s);
// One step of the shape back, or again. False: there is none.
bool step_shape(Session& s, bool redo);
// Ends shaping and forgets its steps.
void forget_shape(Session& s);
// Puts away what belongs to a job's pages: another job, or none.
void forget_pages(Session& s);
void forget_photos(Session& s);
// The map shows again, on the bench or not: no page stands in its place.
void leave_pages(Session& s);
// Reads the measuring sheet anew; the row that is typed next stays the same net's.
void make_readings_anew(Session& s);
// One step of the readings back, or again.
void step_readings(Session& s, bool redo);
// Reads the intake's answers anew.
void make_intake_anew(Session& s);
// One step of the intake's answers, symptoms among them, back or again.
void step_intake(Session& s, bool redo);
// session_plan.cpp: the last tick or cross of the plan's page.
void undo_outcome(Session& s);
// The last word on the job as a whole.
void undo_job_outcome(Session& s);
// Keeps answers by topic as one step of the intake's. False: refused, and said.
bool keep_answers(Session& s, const std::vector<std::pair<std::string, std::string>>& answers);
// Works the suspects out anew where their page shows and the symptoms are others, else forgets them.
void make_suspects_anew(Session& s);
// Reads the shelf anew; what is looked for stays.
void make_shelf_anew(Session& s);
// The bench's page of that kind.
void show_bench_page(Session& s, BenchPage page);
// Reads the names' page anew.
void make_names_anew(Session& s);
// One step of the names' page back, or again.
void step_names(Session& s, bool redo);
// A closed job takes no more work: false, and said how it is opened again.
bool takes_work(Session& s);
// Reads the open board anew where it is this one; the job and what is selected, shown and undone stay.
void reread_board(Session& s, std::int64_t board);
// Makes the net's ball on the map the sheet's topic, or the net itself where the package has none.
void go_to_net(Session& s, Index net);
// Says what is missing where no job is open.
bool needs_job(Session& s, const char* what);

void act(Session& s, const SelectPin& a);
void act(Session& s, const ChooseSites& a);
void act(Session& s, const Follow& a);
void act(Session& s, const GoBack& a);
void act(Session& s, const GoForward& a);
void act(Session& s, const SingleOut& a);
void act(Session& s, const FindText& a);
void act(Session& s, const FindWide& a);
void act(Session& s, const GoToHit& a);
void act(Session& s, const CopySheet& a);
void act(Session& s, const Leave& a);
void act(Session& s, const MarkPin& a);
void act(Session& s, const MarkMany& a);
void act(Session& s, const TypeMarks& a);
void act(Session& s, const TellFact& a);
void act(Session& s, const TakeBackFact& a);
void act(Session& s, const NoteMark& a);
void act(Session& s, const Undo& a);
void act(Session& s, const Redo& a);
void act(Session& s, const OrderMarks& a);
void act(Session& s, const OpenJob& a);
void act(Session& s, const OpenPart& a);
void act(Session& s, const ShowPart& a);
void act(Session& s, const NewJob& a);
void act(Session& s, const CloseJob& a);
void act(Session& s, const AnswerSafety& a);
void act(Session& s, const BareBoard& a);
void act(Session& s, const ShowBench& a);
void act(Session& s, const ShowMap& a);
void act(Session& s, const ImportFiles& a);
void act(Session& s, const PasteTable& a);
void act(Session& s, const UseColumn& a);
void act(Session& s, const SeeTableFrom& a);
void act(Session& s, const AcceptTable& a);
void act(Session& s, const ShapePackage& a);
void act(Session& s, const RubOut& a);
void act(Session& s, const PutBack& a);
void act(Session& s, const NameBall& a);
void act(Session& s, const TypeShape& a);
void act(Session& s, const StopImport& a);
void act(Session& s, const PollWork& a);
void act(Session& s, const ReadWarnings& a);
void act(Session& s, const ShowPlan& a);
void act(Session& s, const ShowVerdict& a);
void act(Session& s, const ChooseLine& a);
void act(Session& s, const NoteOutcome& a);
void act(Session& s, const NoteJobOutcome& a);
void act(Session& s, const TryFigure& a);
void act(Session& s, const LeaveOutWire& a);
void act(Session& s, const DropTrial& a);
void act(Session& s, const TryWire& a);
void act(Session& s, const KeepFigure& a);
void act(Session& s, const ShowBoard& a);
void act(Session& s, const OtherSide& a);
void act(Session& s, const GoToPin& a);
void act(Session& s, const ShowPhotos& a);
void act(Session& s, const NextPhoto& a);
void act(Session& s, const AddPhotos& a);
void act(Session& s, const PhotoUnder& a);
void act(Session& s, const ClickPhoto& a);
void act(Session& s, const MatchLand& a);
void act(Session& s, const TakeBackMatch& a);
void act(Session& s, const Propose& a);
void act(Session& s, const StepProposal& a);
void act(Session& s, const ShowReadings& a);
void act(Session& s, const ReadAs& a);
void act(Session& s, const GoToReading& a);
void act(Session& s, const StepReading& a);
void act(Session& s, const TypeReadings& a);
void act(Session& s, const TakeBackReading& a);
void act(Session& s, const KnowGood& a);
void act(Session& s, const ShowSuspects& a);
void act(Session& s, const TypeSymptoms& a);
void act(Session& s, const TurnSymptom& a);
void act(Session& s, const StepSuspect& a);
void act(Session& s, const GoToSuspect& a);
void act(Session& s, const ShowIntake& a);
void act(Session& s, const AnswerIntake& a);
void act(Session& s, const ShowShelf& a);
void act(Session& s, const FindDonors& a);
void act(Session& s, const ShelveJob& a);
void act(Session& s, const TakePart& a);
void act(Session& s, const ShowSharing& a);
void act(Session& s, const HandOverJob& a);
void act(Session& s, const WriteSheets& a);
void act(Session& s, const TakeInFile& a);
void act(Session& s, const ShowNames& a);
void act(Session& s, const AcceptNames& a);
void act(Session& s, const AddName& a);
void act(Session& s, const RemoveNames& a);
void act(Session& s, const Refresh& a);
void act(Session& s, const SetLook& a);
void act(Session& s, const NextTheme& a);
void act(Session& s, const SetTextSize& a);
void act(Session& s, const NextUnits& a);
void act(Session& s, const ToggleInspection& a);
void act(Session& s, const Complain& a);

}  // namespace landfall::app
