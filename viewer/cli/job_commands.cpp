#include <algorithm>
#include <memory>
#ifndef _WIN32
#include <unistd.h>
#endif

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "viewer/app/site_syntax.hpp"
#include "viewer/cli/context.hpp"
#include "viewer/cli/words.hpp"

// job, mark, unmark, note, undo, redo, settings, view.

namespace landfall::cli {
namespace {

using app::OpenBoard;

std::string lifted_text(const Job& job) {
  std::string text;
  for (const std::string& part : job.lifted) text += (text.empty() ? "" : ", ") + part;
  return text;
}

Json job_json(const Job& job, const std::string& board) {
  Json marks = Json::array();
  for (const Mark& mark : job.marks) {
    marks.push_back({{"part", mark.part},
                     {"ball", mark.ball},
                     {"kind", word(mark.kind)},
                     {"note", name_or_null(mark.note)}});
  }
  return {{"job", job.id},
          {"board", board},
          {"title", job.title},
          {"lifted", job.lifted},
          {"safety_critical", word(job.safety_critical)},
          {"closed", job.closed},
          {"created", job.created},
          {"kept", job.kept},
          {"marks", marks}};
}

Result<SafetyAnswer> safety_answer(const std::string& text) {
  if (text.empty()) return SafetyAnswer::kNotAsked;
  const std::string answer = app::lower(text);
  if (answer == "yes") return SafetyAnswer::kYes;
  if (answer == "no") return SafetyAnswer::kNo;
  return Error{ErrorCode::kUsage, "--safety-critical is answered yes or no"};
}

void say_safety(const Context& context, SafetyAnswer answer) {
  if (answer == SafetyAnswer::kYes) {
    context.say(
        "Safety-critical: this board goes to the maker's authorised repair. Maps, marks and what was lost "
        "stay here.");
  } else if (answer == SafetyAnswer::kNotAsked) {
    context.say(
        "Is the board safety-critical (medical, automotive, aviation, rail, alarms, protective equipment)? "
        "Answer it: landfall job safety JOB yes|no");
  }
}

struct JobArgs {
  std::string board, title, safety, job;
  std::vector<std::string> parts;
};

void run_job_new(Context& context, const JobArgs& args) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto safety = safety_answer(args.safety);
  if (!safety.ok()) return context.fail(safety.error());
  const auto board = app::open_board(*bench, args.board);
  if (!board.ok()) return context.fail(board.error());
  const auto job = app::new_job(*bench, **board, args.parts, args.title, *safety);
  if (!job.ok()) return context.fail(job.error());
  if (context.json) return context.print(job_json(*job, (*board)->info().name));
  context.say(fmt::format("job {}: {} off {}{}", context.bold(std::to_string(job->id)), lifted_text(*job),
                          (*board)->info().name, job->title.empty() ? "" : ", " + job->title));
  say_safety(context, job->safety_critical);
  context.say(
      "Battery out and capacitors down before heat; mind hot boards, fumes and static (the manual's page on "
      "safety).");
}

void run_job_list(Context& context) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto jobs = bench->jobs();
  if (!jobs.ok()) return context.fail(jobs.error());
  const auto boards = bench->boards();
  if (!boards.ok()) return context.fail(boards.error());
  const auto name_of = [&](std::int64_t id) {
    for (const auto& b : *boards) {
      if (b.id == id) return b.name;
    }
    return std::string();
  };
  Json list = Json::array();
  Table table({"no", "board", "lifted", "marks", "sound", "state", "kept", "title"});
  for (const Job& job : *jobs) {
    list.push_back(job_json(job, name_of(job.board)));
    const auto sound = std::count_if(job.marks.begin(), job.marks.end(),
                                     [](const Mark& m) { return m.kind == MarkKind::kSound; });
    table.row({std::to_string(job.id), name_of(job.board), lifted_text(job),
               std::to_string(static_cast<std::ptrdiff_t>(job.marks.size()) - sound), std::to_string(sound),
               job.closed ? "closed" : "open", job.kept, job.title});
  }
  if (context.json) return context.print({{"jobs", list}});
  if (table.empty()) return context.say("No jobs yet. landfall job new BOARD PART opens one.");
  table.print(context);
}

void run_job_show(Context& context, const JobArgs& args) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto answer = app::assess_job(*bench, args.job);
  if (!answer.ok()) return context.fail(answer.error());
  const Job& job = answer->job;
  const OpenBoard& open = *answer->board;
  if (context.json) return context.print(job_json(job, open.info().name));
  context.say(fmt::format("job {} on {}{}{}", context.bold(std::to_string(job.id)), open.info().name,
                          job.title.empty() ? "" : ": " + job.title, job.closed ? " (closed)" : ""));
  context.say(fmt::format("lifted {}; {} sound, {} not inspected; kept {}", lifted_text(job),
                          answer->assessment.sound, answer->assessment.not_inspected, job.kept));
  say_safety(context, job.safety_critical);
  Table table({"site", "mark", "net", "note"});
  for (const Mark& mark : job.marks) {
    if (mark.kind == MarkKind::kSound && mark.note.empty()) continue;
    const Index part = open.index().part(mark.part);
    const Index pin = part == kNone ? kNone : open.index().pin(part, mark.ball);
    table.row({mark.part + "." + mark.ball, std::string(word(mark.kind)),
               pin == kNone ? "not on the board" : net_name(open.board(), open.board().pins[pin].net),
               mark.note});
  }
  if (table.empty()) return context.say("No marks yet. landfall mark JOB SITE=KIND sets one.");
  table.print(context);
}

void run_job_close(Context& context, const JobArgs& args, bool closed) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto job = app::find_job(*bench, args.job);
  if (!job.ok()) return context.fail(job.error());
  const bool was_so = job->closed == closed;
  if (!was_so) {
    if (auto set = bench->set_closed(job->id, closed, app::now_utc()); !set.ok())
      return context.fail(set.error());
  }
  if (context.json) return context.print({{"job", job->id}, {"closed", closed}, {"was_so", was_so}});
  context.say(closed ? fmt::format("job {} {}; landfall job reopen {} opens it again", job->id,
                                   was_so ? "is closed already" : "closed", job->id)
                     : fmt::format("job {} {}", job->id, was_so ? "is open already" : "open again"));
}

void run_job_safety(Context& context, const JobArgs& args) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto safety = safety_answer(args.safety);
  if (!safety.ok()) return context.fail(safety.error());
  const auto job = app::find_job(*bench, args.job);
  if (!job.ok()) return context.fail(job.error());
  if (!takes_work(context, *job)) return;
  if (auto set = bench->set_safety(job->id, *safety, app::now_utc()); !set.ok())
    return context.fail(set.error());
  if (context.json) return context.print({{"job", job->id}, {"safety_critical", word(*safety)}});
  context.say(fmt::format("job {}: safety-critical {}", job->id, word(*safety)));
  say_safety(context, *safety);
}

struct MarkArgs {
  std::string job, site, note;
  std::vector<std::string> sites;
};

void run_mark(Context& context, const MarkArgs& args, bool off) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto job = app::find_job(*bench, args.job);
  if (!job.ok()) return context.fail(job.error());
  if (!takes_work(context, *job)) return;
  const auto board = app::open_board(*bench, job->board);
  if (!board.ok()) return context.fail(board.error());
  const auto typed = app::parse_marks(**board, *job, args.sites, off);
  if (!typed.ok()) return context.fail(typed.error());
  const std::string now = app::now_utc();
  if (auto kept = bench->record(job->id, typed->words, typed->changes, now); !kept.ok())
    return context.fail(kept.error());
  const std::string remark = end_remark(*bench, job->id);
  if (context.json)
    return context.print({{"job", job->id},
                          {"marked", typed->changes.size()},
                          {"words", typed->words},
                          {"kept", now},
                          {"remark", name_or_null(remark)}});
  context.say(fmt::format("job {}: {}, kept {}", job->id, typed->words, now));
  if (!remark.empty()) context.say(remark);
}

void run_note(Context& context, const MarkArgs& args) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto job = app::find_job(*bench, args.job);
  if (!job.ok()) return context.fail(job.error());
  if (!takes_work(context, *job)) return;
  const auto board = app::open_board(*bench, job->board);
  if (!board.ok()) return context.fail(board.error());
  const auto pins = app::sites_named(**board, *job, args.site);
  if (!pins.ok()) return context.fail(pins.error());
  std::vector<store::MarkChange> changes;
  for (const Index pin : *pins) {
    const Pin& p = (*board)->board().pins[pin];
    const std::string& reference = (*board)->board().parts[p.part].reference;
    const auto mark = std::find_if(job->marks.begin(), job->marks.end(),
                                   [&](const Mark& m) { return m.part == reference && m.ball == p.number; });
    if (mark == job->marks.end()) {
      return context.fail(
          {ErrorCode::kUsage, fmt::format("{}.{} has no mark; mark it first", reference, p.number)});
    }
    changes.push_back({reference, p.number, mark->kind, args.note});
  }
  const std::string words = fmt::format("note on {}", args.site);
  if (auto kept = bench->record(job->id, words, changes, app::now_utc()); !kept.ok())
    return context.fail(kept.error());
  if (context.json) return context.print({{"job", job->id}, {"noted", changes.size()}});
  context.say(fmt::format("job {}: {}", job->id, words));
}

void run_undo(Context& context, const MarkArgs& args, bool redo) {
  auto* bench = context.bench();
  if (bench == nullptr) return;
  const auto job = app::find_job(*bench, args.job);
  if (!job.ok()) return context.fail(job.error());
  if (!takes_work(context, *job)) return;
  const auto words = redo ? bench->redo(job->id, app::now_utc()) : bench->undo(job->id, app::now_utc());
  if (!words.ok()) return context.fail(words.error());
  if (!*words)
    return context.fail(
        {ErrorCode::kNotFound, redo ? "there is nothing to do again" : "there is nothing to undo"});
  if (context.json) return context.print({{"job", job->id}, {redo ? "redone" : "undone", **words}});
  context.say(fmt::format("job {}: {} {}", job->id, redo ? "done again:" : "undone:", **words));
}

// Starts the window beside this program, or on the path.
void run_view(Context& context, const std::vector<std::string>& what) {
#ifdef _WIN32
  (void)what;
  context.fail({ErrorCode::kUsage, "start landfall-viewer"});
#else
  std::vector<std::string> words{"landfall-viewer"};
  if (!context.bench_file.empty()) {
    words.emplace_back("--bench");
    words.push_back(context.bench_file.string());
  }
  words.insert(words.end(), what.begin(), what.end());
  std::vector<char*> arguments;
  for (std::string& w : words) arguments.push_back(w.data());
  arguments.push_back(nullptr);
  std::error_code failed;
  const auto self = std::filesystem::read_symlink("/proc/self/exe", failed);
  if (!failed) {
    const std::string beside = (self.parent_path() / "landfall-viewer").string();
    execv(beside.c_str(), arguments.data());
  }
  execvp("landfall-viewer", arguments.data());
  context.fail(
      {ErrorCode::kNotFound, "landfall-viewer is not installed beside this program nor on the path"});
#endif
}

}  // namespace

void add_job_commands(CLI::App& app, Context& context) {
  struct Args {
    JobArgs job;
    MarkArgs mark;
    std::vector<std::string> what;
  };
  auto args = std::make_shared<Args>();
  Context* c = &context;
  auto* job = app.add_subcommand("job", "one board on the bench: parts lifted, marks");
  job->require_subcommand(1);
  auto* fresh = job->add_subcommand("new", "open a job");
  fresh->add_option("board", args->job.board, "name or number")->required();
  fresh->add_option("parts", args->job.parts, "the lifted parts")->required();
  fresh->add_option("--title", args->job.title, "in your words; no personal data is needed");
  fresh->add_option("--safety-critical", args->job.safety, "yes or no");
  fresh->callback([=] { run_job_new(*c, args->job); });
  job->add_subcommand("list", "all jobs")->callback([=] { run_job_list(*c); });
  const auto on_job = [&](const char* name, const char* help, auto action) {
    auto* command = job->add_subcommand(name, help);
    command->add_option("job", args->job.job, "number, or how its title begins")->required();
    command->callback([=] { action(*c, args->job); });
    return command;
  };
  on_job("show", "a job and its marks", [](Context& x, const JobArgs& a) { run_job_show(x, a); });
  on_job("close", "close a job; nothing is lost",
         [](Context& x, const JobArgs& a) { run_job_close(x, a, true); });
  on_job("reopen", "open a closed job again",
         [](Context& x, const JobArgs& a) { run_job_close(x, a, false); });
  on_job("safety", "answer whether the board is safety-critical",
         [](Context& x, const JobArgs& a) { run_job_safety(x, a); })
      ->add_option("answer", args->job.safety, "yes or no")
      ->required();

  auto* mark = app.add_subcommand(
      "mark", "mark sites: U1.AB14=torn, AB16..AB20=sound; kinds: sound mask loose missing torn barrel chip");
  mark->add_option("job", args->mark.job, "number, or how its title begins")->required();
  mark->add_option("sites", args->mark.sites, "SITE=KIND, or SITES and one KIND")->required();
  mark->callback([=] { run_mark(*c, args->mark, false); });
  auto* unmark = app.add_subcommand("unmark", "take marks off");
  unmark->add_option("job", args->mark.job, "number, or how its title begins")->required();
  unmark->add_option("sites", args->mark.sites, "U1.AB14, or AB16..AB20")->required();
  unmark->callback([=] { run_mark(*c, args->mark, true); });
  auto* note = app.add_subcommand("note", "a note on a marked site");
  note->add_option("job", args->mark.job, "number, or how its title begins")->required();
  note->add_option("site", args->mark.site, "U1.AB14")->required();
  note->add_option("text", args->mark.note, "the note; \"\" takes it away")->required();
  note->callback([=] { run_note(*c, args->mark); });
  auto* undo = app.add_subcommand("undo", "take the last gesture back");
  undo->add_option("job", args->mark.job, "number, or how its title begins")->required();
  undo->callback([=] { run_undo(*c, args->mark, false); });
  auto* redo = app.add_subcommand("redo", "do again what was taken back");
  redo->add_option("job", args->mark.job, "number, or how its title begins")->required();
  redo->callback([=] { run_undo(*c, args->mark, true); });

  auto* view = app.add_subcommand("view", "open the window");
  view->add_option("what", args->what, "BOARD PART, or JOB")->expected(0, 2);
  view->callback([=] { run_view(*c, args->what); });
}

}  // namespace landfall::cli
