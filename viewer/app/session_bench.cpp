#include <algorithm>
#include <set>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "netdb/packages/packages.hpp"
#include "viewer/app/known_files.hpp"
#include "viewer/app/session_inside.hpp"

// Boards, jobs and imports.

namespace landfall::app {
namespace {

std::string look_key(const Session& s) {
  return s.board->info().name + "/" + s.board->board().parts[s.package.part].reference;
}

std::string count_text(const ImportReport& report) {
  std::size_t warnings = report.disagreements.size();
  for (const store::SourceFile& source : report.sources) warnings += source.diagnostics.size();
  return warnings == 0 ? "nothing was doubted" : fmt::format("{} to read", warnings);
}

void take_report(Session& s, const ImportReport& report) {
  fill_start(s);
  s.warnings = Warnings{report.board.name, report.sources, report.disagreements, report.notes};
  // A revised design under the open board: the job stays, its marks are read anew.
  if (s.board && s.board->info().id == report.board.id) {
    const std::string part = s.board->board().parts[s.package.part].reference;
    const std::optional<std::int64_t> job = s.job ? std::optional(s.job->id) : std::nullopt;
    if (job) {
      act(s, OpenJob{*job});
    } else {
      act(s, OpenPart{report.board.id, part});
    }
  }
  s.bench_page = true;
  say(s, report.unchanged ? fmt::format("{}: these very files are on the bench already.", report.board.name)
         : !report.named.empty()
             ? fmt::format("{}: {}; {}.", report.board.name, report.named, count_text(report))
             : fmt::format("{}: {}, {}, {}; {}.", report.board.name, count_of(report.board.parts, "part"),
                           count_of(report.board.pins, "pin"), count_of(report.board.nets, "net"),
                           count_text(report)));
}

}  // namespace

void fill_start(Session& s) {
  auto boards = s.bench->boards();
  if (!boards.ok()) return fail(s, boards.error());
  auto jobs = s.bench->jobs();
  if (!jobs.ok()) return fail(s, jobs.error());
  s.boards = std::move(boards).value();
  s.jobs = std::move(jobs).value();
  s.seen_version = s.bench->data_version();
}

namespace {

// What the open jobs come to, newest first: made anew where marks or facts have changed since.
void sum_up_jobs(Session& s) {
  constexpr std::size_t kMostAtOnce = 24;
  if (!s.wake || s.summing || s.bench_file.empty()) return;
  WantedSummaries wanted;
  for (const Job& job : s.jobs) {
    const std::string key = summary_key(job);
    const auto known = s.summaries.find(job.id);
    if (job.closed || (known != s.summaries.end() && known->second.of == key)) continue;
    wanted.emplace_back(job.id, key);
  }
  std::sort(wanted.begin(), wanted.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
  if (wanted.size() > kMostAtOnce) wanted.resize(kMostAtOnce);
  if (!wanted.empty()) s.summing = sum_up(s.bench_file, std::move(wanted), s.wake);
}

void take_summaries(Session& s) {
  if (!s.summing) return;
  const bool done = s.summing->done();
  for (auto& [id, summary] : s.summing->take()) s.summaries[id] = std::move(summary);
  if (done) s.summing.reset();
}

}  // namespace

void take_board(Session& s, std::shared_ptr<const OpenBoard> board) {
  s.board = std::move(board);
  s.board_is_told = false;
  leave_pages(s);
  s.index = std::make_shared<FindIndex>(s.board->index());
  s.job.reset();
  forget_pages(s);
  s.assessment = {};
  s.marks.clear();
  s.been.clear();
  s.next.clear();
  s.topic.reset();
  s.single_out.reset();
  s.inspection = false;
  s.bench_page = false;
  s.warnings.reset();
  s.pasted.reset();
  forget_shape(s);
  make_plan_anew(s);  // there is none without a job
  act(s, FindText{});
}

void leave_board(Session& s) {
  s.board.reset();
  s.index.reset();
  s.package = {};
  s.job.reset();
  s.selected = kNone;
  s.chosen.clear();
  s.topic.reset();
  s.sheet.reset();
  s.been.clear();
  s.next.clear();
  s.single_out.reset();
  s.assessment = {};
  s.marks.clear();
  s.inspection = false;
  leave_pages(s);
  forget_pages(s);
  forget_shape(s);
  make_plan_anew(s);
  act(s, FindText{});
  s.bench_page = true;
}

void keep_look(Session& s) {
  if (s.board && !s.package.sites.empty() && !s.map_look) s.preferences.looks[look_key(s)] = s.look;
}

void show_part(Session& s, Index part) {
  s.package = packages::package_of(s.board->index(), part);
  const auto look = s.preferences.looks.find(look_key(s));
  s.look = look == s.preferences.looks.end() ? Look{} : look->second;
  if (s.map_look) s.map_look = s.look;
  s.chosen.clear();
  s.single_out.reset();
  s.topic.reset();
  s.selected = kNone;
  forget_shape(s);
  make_sheet_anew(s);
}

void act(Session& s, const OpenJob& a) {
  const auto job = s.bench->job(a.job);
  if (!job.ok()) return fail(s, job.error());
  auto board = open_board(*s.bench, job->board);
  if (!board.ok()) return fail(s, board.error());
  take_board(s, std::move(board).value());
  s.job = *job;
  const Index part = s.board->index().part(job->lifted.empty() ? "" : job->lifted.front());
  show_part(s, part == kNone ? 0 : part);
  reload_job(s, fmt::format("job {}", a.job));
  s.kept = job->kept;
  if (const auto note = rescued_note(*s.bench, job->board)) say(s, fmt::format("job {}: {}", a.job, *note));
}

void act(Session& s, const OpenPart& a) {
  auto board = open_board(*s.bench, a.board);
  if (!board.ok()) return fail(s, board.error());
  Index part = kNone;
  if (a.part.empty()) {
    const auto arrays = packages::area_arrays((*board)->index());
    if (!arrays.empty()) part = arrays.front();
    if (arrays.empty() && !(*board)->board().parts.empty()) part = 0;
  } else {
    const auto found = find_part(**board, a.part);
    if (!found.ok()) return fail(s, found.error());
    part = *found;
  }
  if (part == kNone) return fail(s, {ErrorCode::kNotFound, "This board has no parts."});
  take_board(s, std::move(board).value());
  show_part(s, part);
  say(s, s.board->info().name);
}

void act(Session& s, const ShowPart& a) {
  if (!s.board || a.part >= s.board->board().parts.size()) return;
  show_part(s, a.part);
  s.bench_page = false;
  go_to(s, Topic{TopicKind::kPart, a.part});
}

void act(Session& s, const NewJob& a) {
  if (!s.board) return;
  std::vector<std::string> parts = a.parts;
  if (parts.empty()) parts.push_back(s.board->board().parts[s.package.part].reference);
  const auto job = new_job(*s.bench, *s.board, parts, a.title, a.safety);
  if (!job.ok()) return fail(s, job.error());
  s.job = *job;
  forget_pages(s);
  const Index first = s.board->index().part(job->lifted.front());
  if (first != kNone && first != s.package.part) show_part(s, first);
  s.bench_page = false;
  fill_start(s);
  reload_job(s, fmt::format("job {}: {} lifted.", job->id, fmt::join(job->lifted, ", ")));
}

void act(Session& s, const CloseJob& a) {
  const auto job = s.bench->job(a.job);
  if (!job.ok()) return fail(s, job.error());
  if (job->closed == a.closed)
    return say(s, fmt::format("Job {} is {}", a.job,
                              a.closed ? "closed already. Ctrl+J opens it again." : "open already."));
  const auto set = s.bench->set_closed(a.job, a.closed, now_utc());
  if (!set.ok()) return fail(s, set.error());
  fill_start(s);
  if (s.job && s.job->id == a.job) reload_job(s, "");
  say(s, a.closed
             ? fmt::format(
                   "Job {} is closed: it takes no more marks, answers, readings or outcomes. Ctrl+J opens "
                   "it again.",
                   a.job)
             : fmt::format("Job {} is open again.", a.job));
}

void act(Session& s, const AnswerSafety& a) {
  if (!s.job || !keep_answers(s, {{"safety-critical", a.critical ? "yes" : "no"}})) return;
  reload_job(s, a.critical ? "Safety-critical: this board goes to the maker's authorised repair."
                           : "not safety-critical");
}

void act(Session& s, const BareBoard& a) {
  const auto rows = parse_integer(a.rows);
  const auto columns = parse_integer(a.columns);
  const auto pitch = parse_mm(a.pitch_mm);
  if (!rows || !columns || *rows < 1 || *rows > 200 || *columns < 1 || *columns > 200)
    return fail(s, {ErrorCode::kUsage, "Rows and columns are whole numbers from 1 to 200."});
  if (!pitch) return fail(s, {ErrorCode::kUsage, "The pitch is in millimetres, such as 0.8."});
  const auto board = packages::bare_board(static_cast<int>(*rows), static_cast<int>(*columns), *pitch);
  if (!board.ok()) return fail(s, board.error());
  const std::string name = a.name.empty() ? fmt::format("bare {}x{}", *rows, *columns) : a.name;
  const auto id = s.bench->keep_board(name, *board, {{}, {}, now_utc()});
  if (!id.ok()) return fail(s, id.error());
  fill_start(s);
  act(s, OpenPart{*id, "U1"});
}

void act(Session& s, const ShowBench&) {
  s.bench_page = true;
  s.bench_view.reset();
  s.inspection = false;
  s.shaping = false;
  fill_start(s);
}

void act(Session& s, const ShowMap&) {
  if (!s.board) return fail(s, {ErrorCode::kUsage, "There is no board on the map yet: open one."});
  s.bench_page = false;
  leave_pages(s);
  s.warnings.reset();
  s.pasted.reset();
}

void act(Session& s, const ImportFiles& a) {
  if (s.import) return fail(s, {ErrorCode::kUsage, "An import runs already: wait for it, or stop it."});
  if (a.files.empty()) return fail(s, {ErrorCode::kUsage, "Name a file to read."});
  if (std::all_of(a.files.begin(), a.files.end(), is_picture_name)) return act(s, AddPhotos{a.files});
  if (a.files.size() == 1 && is_handed_over(a.files.front())) return act(s, TakeInFile{a.files.front(), {}});
  ImportRequest request;
  request.files = a.files;
  request.into = a.into;
  request.wish = ListWish::kCareful;  // nobody is here to be asked
  s.import_files.clear();
  for (const auto& file : a.files) s.import_files.push_back(file.filename().string());
  s.bench_page = true;
  s.warnings.reset();
  say(s, "Reading. Nothing is kept until all is in.");
  s.import = std::make_shared<ImportTask>(s.bench_file, std::move(request), s.wake);
}

void act(Session& s, const StopImport&) {
  if (!s.import) return;
  s.import->stop();
  say(s, "Stopping.");
}

void act(Session& s, const PollWork&) {
  take_summaries(s);
  take_names(s);
  if (s.bench_page) sum_up_jobs(s);
  if (!s.import) return;
  const auto result = s.import->result();
  if (!result) return;
  s.import.reset();
  if (!result->ok()) return fail(s, result->error());  // a pasted table stays, to be corrected
  s.pasted.reset();
  take_report(s, result->value());
}

void act(Session& s, const ReadWarnings& a) {
  s.warnings.reset();
  if (!a.board) return;
  auto sources = s.bench->sources(*a.board);
  if (!sources.ok()) return fail(s, sources.error());
  auto disagreements = s.bench->disagreements(*a.board);
  if (!disagreements.ok()) return fail(s, disagreements.error());
  Warnings warnings;
  for (const store::BoardInfo& info : s.boards) {
    if (info.id == *a.board) warnings.board = info.name;
  }
  warnings.sources = std::move(sources).value();
  warnings.disagreements = std::move(disagreements).value();
  s.warnings = std::move(warnings);
}

namespace {

// The board of the open job, or on the map, that another window removed: true, and said.
bool lost_board(Session& s) {
  if (!s.board) return false;
  const auto info = s.bench->board_info(s.board->info().id);
  if (info.ok() || info.error().code != ErrorCode::kNotFound) return false;
  const std::string name = s.board->info().name;
  const bool joined = s.joining && s.joining->board.id == s.board->info().id;
  if (joined) s.joining.reset();
  if (joined && s.bench_view == BenchPage::kNames) s.bench_view.reset();
  leave_board(s);
  fail(s, {ErrorCode::kNotFound, name + " was removed in another window."});
  return true;
}

void refresh_job(Session& s) {
  const std::vector<Mark> before = s.job->marks;
  reload_job(s, "");
  if (s.job->marks != before)
    say(s, fmt::format("Marked in another window: {} in this job now.",
                       s.job->marks.size() == 1 ? "one mark" : count_of(s.job->marks.size(), "mark")));
}

}  // namespace

void act(Session& s, const Refresh&) {
  const auto version = s.bench->data_version();
  if (version == s.seen_version) return;
  s.seen_version = version;
  if (!lost_board(s) && s.job) refresh_job(s);
  if (s.bench_page) fill_start(s);
  if (s.bench_page && s.bench_view == BenchPage::kShelf) make_shelf_anew(s);
  if (s.bench_page && s.bench_view == BenchPage::kNames) make_names_anew(s);
}

}  // namespace landfall::app
