#include <algorithm>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "viewer/app/session_inside.hpp"

// The names' page of the bench: which names of one part are which of another, where lists are joined.

namespace landfall::app {
namespace {

std::string shown(const std::string& part, const std::string& name) {
  return part.empty() ? name : part + ":" + name;
}

std::string said_of(const NamesStep& step) {
  if (step.aliases.size() == 1) {
    const NameAlias& one = step.aliases.front();
    return fmt::format("{} is {}{}", shown(one.part, one.name), shown(one.to_part, one.to_name),
                       step.added ? "" : " no more");
  }
  return fmt::format("{} {}", count_of(step.aliases.size(), "pair"), step.added ? "accepted" : "taken away");
}

bool same_names(const NameAlias& a, const NameAlias& b) {
  return a.part == b.part && a.name == b.name && a.to_part == b.to_part && a.to_name == b.to_name;
}

// Adds what the step added, or takes it away; the other way round of a step that took away, or where it goes
// back.
Status carry_out(Session& s, const NamesStep& step, bool back) {
  const std::int64_t board = s.joining->board.id;
  if (step.added != back) {
    const auto added = s.bench->add_aliases(board, step.aliases);
    return added.ok() ? done() : Status(added.error());
  }
  const auto now = s.bench->aliases(board);
  if (!now.ok()) return now.error();
  std::vector<std::int64_t> numbers;
  for (const NameAlias& alias : *now) {
    if (std::any_of(step.aliases.begin(), step.aliases.end(),
                    [&](const NameAlias& one) { return same_names(one, alias); }))
      numbers.push_back(alias.id);
  }
  return numbers.empty() ? done() : s.bench->remove_aliases(board, numbers);
}

// Keeps it as one undo and says what it came to.
void take(Session& s, NamesStep step) {
  const std::size_t before = s.joining->joined;
  if (const Status kept = carry_out(s, step, false); !kept.ok()) return fail(s, kept.error());
  const std::string words = said_of(step);
  const bool added = step.added;
  s.joining->done.push_back(std::move(step));
  s.joining->undone.clear();
  s.message_is_error = false;
  reread_board(s, s.joining->board.id);
  make_names_anew(s);
  if (s.message_is_error) return;
  const bool idle = added && s.joining->joined == before;
  say(s, fmt::format("{}. {}Undo with Ctrl+Z.", words,
                     idle ? "It joins nothing: two parts known by lists must have the names, or they are one "
                            "net already. "
                          : ""));
}

}  // namespace

void make_names_anew(Session& s) {
  if (!s.joining) return;
  NamesDesk& desk = *s.joining;
  const auto info = s.bench->board_info(desk.board.id);
  if (!info.ok()) {
    // Removed in another window: there is no page of it any more.
    const std::string name = desk.board.name;
    s.joining.reset();
    if (s.bench_view == BenchPage::kNames) s.bench_view.reset();
    const bool gone = info.error().code == ErrorCode::kNotFound && !name.empty();
    return fail(s,
                gone ? Error{ErrorCode::kNotFound, name + " was removed in another window."} : info.error());
  }
  auto aliases = s.bench->aliases(info->id);
  if (!aliases.ok()) return fail(s, aliases.error());
  auto groups = name_suggestions(*s.bench, info->id);
  if (!groups.ok()) return fail(s, groups.error());
  const auto board = open_board(*s.bench, info->id);
  if (!board.ok()) return fail(s, board.error());
  desk.board = *info;
  desk.aliases = std::move(aliases).value();
  desk.groups = std::move(groups).value();
  desk.conflicts = (*board)->name_conflicts();
  desk.joined = (*board)->name_joins().size();
}

void step_names(Session& s, bool redo) {
  if (!s.joining) return;
  auto& from = redo ? s.joining->undone : s.joining->done;
  auto& to = redo ? s.joining->done : s.joining->undone;
  if (from.empty())
    return fail(s, {ErrorCode::kNotFound, redo ? "There are no names to do again."
                                               : "There are no names of this sitting to undo."});
  if (const Status kept = carry_out(s, from.back(), !redo); !kept.ok()) return fail(s, kept.error());
  const std::string words = said_of(from.back());
  to.push_back(std::move(from.back()));
  from.pop_back();
  s.message_is_error = false;
  reread_board(s, s.joining->board.id);
  make_names_anew(s);
  if (!s.message_is_error) say(s, (redo ? "done again: " : "undone: ") + words);
}

void act(Session& s, const ShowNames& a) {
  const bool shows = s.bench_page && s.bench_view == BenchPage::kNames;
  if (shows && s.joining && s.joining->board.id == a.board) return s.bench_view.reset();
  if (a.board == 0) return fail(s, {ErrorCode::kUsage, "Names belong to a board: choose one on the bench."});
  if (!s.joining || s.joining->board.id != a.board) {
    s.joining.emplace();
    s.joining->board.id = a.board;
  }
  s.message_is_error = false;
  show_bench_page(s, BenchPage::kNames);
  make_names_anew(s);
  if (s.message_is_error) return s.bench_view.reset();
  say(s, fmt::format("{}: {} joined by name, {} proposed.", s.joining->board.name,
                     count_of(s.joining->joined, "signal"), count_of(s.joining->groups.size(), "group")));
}

void act(Session& s, const AcceptNames& a) {
  if (!s.joining || a.group >= s.joining->groups.size())
    return fail(s, {ErrorCode::kNotFound, "That is proposed no more."});
  std::vector<NameAlias> aliases = aliases_of(s.joining->groups[a.group]);
  if (a.pair) {
    if (*a.pair >= aliases.size()) return fail(s, {ErrorCode::kNotFound, "That is proposed no more."});
    aliases = {aliases[*a.pair]};
  }
  take(s, {std::move(aliases), true});
}

void act(Session& s, const AddName& a) {
  if (!s.joining) return;
  const SideName from = side_name(a.from);
  const SideName to = side_name(a.to);
  if (from.name.empty() || to.name.empty())
    return fail(s,
                {ErrorCode::kUsage, "Two names are needed: RAM0_DATA5 is DQ5, or U1:RAM0_DATA5 is J1:DQ5."});
  const NameAlias alias{0, from.part, from.name, to.part, to.name, "typed in"};
  const auto& known = s.joining->aliases;
  if (std::any_of(known.begin(), known.end(), [&](const NameAlias& one) { return same_names(one, alias); }))
    return fail(s, {ErrorCode::kUsage, fmt::format("{} is {} already.", a.from, a.to)});
  take(s, {{alias}, true});
}

void act(Session& s, const RemoveNames& a) {
  if (!s.joining) return;
  std::vector<NameAlias> gone = s.joining->aliases;
  if (a.alias) std::erase_if(gone, [&](const NameAlias& one) { return one.id != *a.alias; });
  if (gone.empty()) return fail(s, {ErrorCode::kNotFound, "There is no such name to take away."});
  take(s, {std::move(gone), false});
}

}  // namespace landfall::app
