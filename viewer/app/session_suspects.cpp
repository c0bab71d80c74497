#include <algorithm>
#include <set>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "viewer/app/session_inside.hpp"

// The suspects' page: nets that are dark or good, the places that would explain them, the next test.

namespace landfall::app {
namespace {

const char* topic_of(bool good) {
  return good ? "good" : "dark";
}

std::string names_of(const Board& board, const std::vector<Index>& nets) {
  std::string names;
  for (const Index net : nets) names += (names.empty() ? "" : " ") + board.nets[net].name;
  return names;
}

// What was told, less the names that the board has not (any more): a revision must not lock the page.
Result<rework::Symptoms> symptoms_here(Session& s) {
  auto told = symptoms_told(*s.bench, s.job->id);
  if (!told.ok()) return told.error();
  for (std::vector<std::string>* names : {&told->dark, &told->good})
    std::erase_if(*names, [&](const std::string& name) { return !find_net(*s.board, name).ok(); });
  return symptoms_of(*s.board, *told);
}

// Keeps the list of one kind; its nets leave the other.
bool keep_symptoms(Session& s, const std::vector<Index>& nets, bool good) {
  const auto before = symptoms_here(s);
  if (!before.ok()) {
    fail(s, before.error());
    return false;
  }
  std::vector<Index> other = good ? before->dark : before->good;
  std::erase_if(other, [&](Index net) { return std::find(nets.begin(), nets.end(), net) != nets.end(); });
  const Board& board = s.board->board();
  return keep_answers(s,
                      {{topic_of(good), names_of(board, nets)}, {topic_of(!good), names_of(board, other)}});
}

void say_suspects(Session& s) {
  if (!s.suspects) return;
  say(s, s.suspects->symptoms.dark.empty() ? "No net is dark yet: type names, or choose balls and press ;."
                                           : s.suspects->answer.says + ".");
}

}  // namespace

void make_suspects_anew(Session& s) {
  if (!s.job || !s.board || s.page != JobPage::kSuspects) return s.suspects.reset();
  auto symptoms = symptoms_here(s);
  if (!symptoms.ok()) return fail(s, symptoms.error());
  if (s.suspects && s.suspects->board == s.board && s.suspects->symptoms.dark == symptoms->dark &&
      s.suspects->symptoms.good == symptoms->good)
    return;
  s.suspects.emplace();
  s.suspects->board = s.board;
  s.suspects->symptoms = std::move(symptoms).value();
  if (!s.suspects->symptoms.dark.empty()) s.suspects->answer = suspects_of(*s.board, s.suspects->symptoms);
}

void act(Session& s, const ShowSuspects&) {
  if (!needs_job(s, "Symptoms")) return;
  if (s.page == JobPage::kSuspects && !s.bench_page) return s.page.reset();
  s.bench_page = false;
  leave_pages(s);
  s.page = JobPage::kSuspects;
  make_suspects_anew(s);
  say_suspects(s);
}

void act(Session& s, const TypeSymptoms& a) {
  if (!needs_job(s, "Symptoms")) return;
  SymptomNames names;
  names.dark = words_of(a.text);
  const auto nets = symptoms_of(*s.board, names);
  if (!nets.ok()) return fail(s, nets.error());
  if (!keep_symptoms(s, nets->dark, a.good)) return;
  reload_job(s, "");
  say_suspects(s);
}

void act(Session& s, const TurnSymptom& a) {
  if (!needs_job(s, "Symptoms")) return;
  std::vector<Index> nets;
  for (const Index pin : a.pins) {
    if (pin >= s.board->board().pins.size()) continue;
    const Index net = s.board->board().pins[pin].net;
    if (net != kNone && std::find(nets.begin(), nets.end(), net) == nets.end()) nets.push_back(net);
  }
  if (nets.empty()) return fail(s, {ErrorCode::kUsage, "Select a ball on a net first, or choose several."});
  const auto symptoms = symptoms_here(s);
  if (!symptoms.ok()) return fail(s, symptoms.error());
  std::vector<Index> list = a.good ? symptoms->good : symptoms->dark;
  const auto has = [&](Index net) { return std::find(list.begin(), list.end(), net) != list.end(); };
  const bool off = std::all_of(nets.begin(), nets.end(), has);
  if (off) {
    std::erase_if(list, [&](Index net) { return std::find(nets.begin(), nets.end(), net) != nets.end(); });
  } else {
    for (const Index net : nets) {
      if (!has(net)) list.push_back(net);
    }
  }
  if (!keep_symptoms(s, list, a.good)) return;
  reload_job(s, "");
  const std::string what =
      nets.size() == 1 ? s.board->board().nets[nets[0]].name : count_of(nets.size(), "net");
  say(s, fmt::format("{} {} {}: {} in all.", what, off ? "no longer" : (nets.size() == 1 ? "is" : "are"),
                     topic_of(a.good), list.size()));
}

void act(Session& s, const StepSuspect& a) {
  if (!s.suspects || s.suspects->answer.suspects.empty()) return;
  const std::size_t last = s.suspects->answer.suspects.size() - 1;
  std::size_t& at = s.suspects->at;
  at = a.back ? at - std::min<std::size_t>(at, 1) : std::min(at + 1, last);
}

void act(Session& s, const GoToSuspect& a) {
  if (!s.suspects || a.suspect >= s.suspects->answer.suspects.size())
    return fail(s, {ErrorCode::kUsage, "There is no such suspect: name dark nets first."});
  const rework::Suspect suspect = s.suspects->answer.suspects[a.suspect];
  if (suspect.part != s.package.part) act(s, ShowPart{suspect.part});
  // The place alone stands out; a whole part is its own topic.
  go_to(s, suspect.whole_part ? std::optional(Topic{TopicKind::kPart, suspect.part}) : std::nullopt);
  leave_pages(s);
  s.chosen = pins_of(*s.board, suspect);
  say(s, fmt::format("{}: {}. Esc lets go, Shift+F goes back to the suspects.", suspect.where,
                     count_of(s.chosen.size(), "site")));
}

}  // namespace landfall::app
