#include <algorithm>

#include <fmt/format.h>

#include "viewer/app/facts.hpp"
#include "viewer/app/session_inside.hpp"
#include "viewer/app/site_syntax.hpp"

// What the technician measured or says of a ball: it stands over files and marks until it is taken back.

namespace landfall::app {

void act(Session& s, const TellFact& a) {
  if (!s.job) return fail(s, {ErrorCode::kUsage, "No job. What is measured belongs to one."});
  if (!takes_work(s)) return;
  std::vector<std::string> words = fact_words(a.text);
  // A ball alone is one of the part on the map.
  const std::string& part = s.board->board().parts[s.package.part].reference;
  for (const std::size_t place : pins_in_fact(words)) {
    if (words[place].find('.') == std::string::npos) words[place] = part + "." + words[place];
  }
  const auto told = tell_fact(*s.bench, *s.board, *s.job, words, now_utc());
  if (!told.ok()) return fail(s, told.error());
  reload_job(
      s, fact_text(s.board->index(), *told) + ". The ball's sheet can take it back; Ctrl+Z is for marks.");
  if (s.message_is_error || s.selected != kNone) return;
  if (const auto pin = find_pin(*s.board, told->a); pin.ok()) {
    const std::string said = s.message;
    act(s, SelectPin{*pin});
    s.message = said;
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
  reload_job(s, "Taken back: " + words + ".");
}

}  // namespace landfall::app
