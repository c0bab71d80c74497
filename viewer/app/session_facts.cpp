#include <algorithm>

#include <fmt/format.h>

#include "viewer/app/facts.hpp"
#include "viewer/app/session_inside.hpp"
#include "viewer/app/site_syntax.hpp"

// What the technician measured or says of a ball: it stands over files and marks until it is taken back.

namespace landfall::app {
namespace {

// The same words, whatever row they are kept in: a fact that comes again has a new one.
bool same_words(const Fact& a, const Fact& b) {
  return a.kind == b.kind && a.a == b.a && a.b == b.b && a.name == b.name && a.place == b.place &&
         a.reach == b.reach;
}

// Takes `gone` back and tells `told` again, by the job as it stands in the bench. Refused where another
// window has changed a fact of these meanwhile: its word counts. The first that is told and all that go are
// one step.
Status replace_facts(Session& s, const std::vector<Fact>& gone, const std::vector<Fact>& told) {
  const auto job = s.bench->job(s.job->id);
  if (!job.ok()) return job.error();
  std::vector<std::int64_t> going;
  for (const Fact& fact : gone) {
    const auto stands = std::find_if(job->facts.begin(), job->facts.end(),
                                     [&](const Fact& one) { return same_words(one, fact); });
    if (stands == job->facts.end())
      return Error{ErrorCode::kNotFound, fact_text(s.board->index(), fact) + ": changed in another window."};
    going.push_back(stands->id);
  }
  for (const Fact& fact : told) {
    for (const std::int64_t id : outdone_by(*job, fact)) {
      if (std::find(going.begin(), going.end(), id) == going.end())
        return Error{ErrorCode::kNotFound,
                     fact_text(s.board->index(), fact) + ": said otherwise in another window."};
    }
  }
  if (told.empty()) {
    for (const std::int64_t id : going) {
      if (const Status kept = s.bench->withdraw_fact(job->id, id, now_utc()); !kept.ok()) return kept;
    }
  }
  for (const Fact& fact : told) {
    const auto id = s.bench->replace_facts(job->id, going, fact, now_utc());
    if (!id.ok()) return id.error();
    going.clear();
  }
  return done();
}

}  // namespace

Status step_facts(Session& s, const WorkStep& step, bool redo) {
  const Status kept = redo ? replace_facts(s, step.gone, step.told) : replace_facts(s, step.told, step.gone);
  if (!kept.ok()) {
    reload_job(s, "");
    fail(s, kept.error());
    return kept;
  }
  const std::string words = step.told.empty()
                                ? "taking back " + fact_text(s.board->index(), step.gone.front())
                                : fact_text(s.board->index(), step.told.front());
  reload_job(s, (redo ? "done again: " : "undone: ") + words);
  return done();
}

void act(Session& s, const TellFact& a) {
  if (!s.job) return fail(s, {ErrorCode::kUsage, "No job. What is measured belongs to one."});
  if (!takes_work(s)) return;
  std::vector<std::string> words = fact_words(a.text);
  // A ball alone is one of the part on the map.
  const std::string& part = s.board->board().parts[s.package.part].reference;
  for (const std::size_t place : pins_in_fact(words)) {
    if (words[place].find('.') == std::string::npos) words[place] = part + "." + words[place];
  }
  const Job before = *s.job;
  const auto told = tell_fact(*s.bench, *s.board, before, words, now_utc());
  if (!told.ok()) return fail(s, told.error());
  WorkStep step;
  step.told.push_back(*told);
  const std::vector<std::int64_t> outdone = outdone_by(before, *told);
  for (const Fact& fact : before.facts) {
    if (std::find(outdone.begin(), outdone.end(), fact.id) != outdone.end()) step.gone.push_back(fact);
  }
  add_work_step(s, std::move(step));
  const std::string said = fact_text(s.board->index(), *told);
  reload_job(s, said + ". Undo with Ctrl+Z.");
  remind_of_end(s, said);
  if (const std::string remark = fact_remark(s.board->index(), s.assessment, *told);
      !remark.empty() && !s.message_is_error)
    s.message += " " + remark + ".";
  if (s.message_is_error || s.selected != kNone) return;
  if (const auto pin = find_pin(*s.board, told->a); pin.ok()) {
    const std::string message = s.message;
    act(s, SelectPin{*pin});
    s.message = message;
  }
}

void act(Session& s, const TakeBackFact& a) {
  if (!s.job) return fail(s, {ErrorCode::kUsage, "No job. What is measured belongs to one."});
  if (!takes_work(s)) return;
  const auto fact = std::find_if(s.job->facts.begin(), s.job->facts.end(),
                                 [&](const Fact& one) { return one.id == a.fact; });
  const std::string words =
      fact == s.job->facts.end() ? std::string("it") : fact_text(s.board->index(), *fact);
  if (const Status gone = s.bench->withdraw_fact(s.job->id, a.fact, now_utc()); !gone.ok())
    return fail(s, gone.error());
  if (fact != s.job->facts.end()) {
    WorkStep step;
    step.gone.push_back(*fact);
    add_work_step(s, std::move(step));
  }
  reload_job(s, "Taken back: " + words + ". Undo with Ctrl+Z.");
}

}  // namespace landfall::app
