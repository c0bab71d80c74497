#include <algorithm>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "netdb/packages/packages.hpp"
#include "viewer/app/lists.hpp"
#include "viewer/app/session_inside.hpp"
#include "viewer/app/site_syntax.hpp"

// Shaping a bare package on the map: sites rubbed out and put back, balls named one by one. Each step is kept
// at once; the way back is remembered as long as the board is open.

namespace landfall::app {
namespace {

constexpr std::size_t kMostSteps = 1000;

std::string reference_of(const Session& s) {
  return s.board->board().parts[s.package.part].reference;
}

bool is_shaped_by_hand(const Session& s) {
  const auto& formats = s.board->info().formats;
  return std::all_of(formats.begin(), formats.end(),
                     [](const std::string& format) { return importers::is_bare_part(format); });
}

// The board as it is kept now, with job, face and turn as they were.
void reload_board(Session& s, const std::string& select) {
  const std::string reference = reference_of(s);
  auto board = open_board(*s.bench, s.board->info().id);
  if (!board.ok()) return fail(s, board.error());
  s.board = std::move(board).value();
  s.board_is_told = false;
  s.index = std::make_shared<FindIndex>(s.board->index());
  const Index part = s.board->index().part(reference);
  s.package = packages::package_of(s.board->index(), part == kNone ? 0 : part);
  s.chosen.clear();
  s.single_out.reset();
  s.been.clear();
  s.next.clear();
  s.topic.reset();
  s.selected = kNone;
  act(s, FindText{});
  const Index pin = select.empty() ? kNone : s.board->index().pin(s.package.part, select);
  if (pin != kNone) go_to(s, Topic{TopicKind::kBall, pin});
  if (s.job) reload_job(s, "");
  make_sheet_anew(s);
}

std::vector<std::string> balls_of(const ShapeStep& step) {
  std::vector<std::string> balls;
  for (const SiteName& one : step.before) balls.push_back(one.ball);
  return balls;
}

Result<PackageEdit> carry_out(Session& s, const ShapeStep& step, bool back) {
  const store::BoardInfo& info = s.board->info();
  const std::string part = reference_of(s);
  switch (step.kind) {
    case ShapeStep::Kind::kRub:
      return back ? put_back_named(*s.bench, info, part, step.before)
                  : rub_out(*s.bench, info, part, balls_of(step));
    case ShapeStep::Kind::kRestore:
      return back ? rub_out(*s.bench, info, part, balls_of(step))
                  : put_back_named(*s.bench, info, part, step.before);
    case ShapeStep::Kind::kName:
      return name_balls(*s.bench, info, part, back ? step.before : step.after);
  }
  return Error{ErrorCode::kUsage, "no such step"};
}

std::string said(const std::string& words, const PackageEdit& edit) {
  std::string text = words + ".";
  // What it does to marks comes first: that is what must not be missed.
  if (!edit.notes.empty())
    text = fmt::format("{} {}{}", text, edit.notes.front(),
                       edit.notes.size() > 1 ? fmt::format(" and {} more.", edit.notes.size() - 1) : ".");
  return text;
}

void shape(Session& s, ShapeStep step, const std::string& select) {
  const auto edit = carry_out(s, step, false);
  if (!edit.ok()) return fail(s, edit.error());
  if (edit->changed == 0) return say(s, "Nothing changes.");
  const std::string words = step.words;
  s.shaped.push_back(std::move(step));
  if (s.shaped.size() > kMostSteps) s.shaped.erase(s.shaped.begin());
  s.unshaped.clear();
  reload_board(s, select);
  say(s, said(words, *edit) + " Undo with Ctrl+Z.");
}

bool may_shape(Session& s) {
  if (s.board && s.shaping) return true;
  fail(s, {ErrorCode::kUsage, "Press R first: then sites can be rubbed out and balls named."});
  return false;
}

std::string counted(const std::vector<SiteName>& sites) {
  return sites.size() == 1 ? sites.front().ball : count_of(sites.size(), "site");
}

}  // namespace

void forget_shape(Session& s) {
  s.shaping = false;
  s.shaped.clear();
  s.unshaped.clear();
}

bool step_shape(Session& s, bool redo) {
  auto& from = redo ? s.unshaped : s.shaped;
  auto& to = redo ? s.shaped : s.unshaped;
  if (!s.board || from.empty()) return false;
  const auto edit = carry_out(s, from.back(), !redo);
  if (!edit.ok()) {
    fail(s, edit.error());
    return true;
  }
  const ShapeStep step = from.back();
  from.pop_back();
  to.push_back(step);
  const bool gone = (step.kind == ShapeStep::Kind::kRub) == redo;
  reload_board(s, gone && step.kind != ShapeStep::Kind::kName ? "" : step.before.front().ball);
  say(s, said((redo ? "done again: " : "undone: ") + step.words, *edit));
  return true;
}

void act(Session& s, const ShapePackage&) {
  if (!s.board) return fail(s, {ErrorCode::kUsage, "There is no board yet: open one."});
  if (s.shaping) {
    s.shaping = false;
    return say(s, fmt::format("{} has {}.", reference_of(s), count_of(s.package.sites.size(), "ball")));
  }
  if (!is_shaped_by_hand(s))
    return fail(
        s, {ErrorCode::kUsage, fmt::format("{} comes from files: its sites are theirs. A fact names a ball.",
                                           s.board->info().name)});
  if (s.package.kind != PackageKind::kAreaArray)
    return fail(s, {ErrorCode::kUsage, reference_of(s) + " is no grid of balls."});
  s.shaping = true;
  s.bench_page = s.inspection = false;
  leave_pages(s);
  s.single_out.reset();
  say(s, "Each change is kept at once. Undo with Ctrl+Z, done with Esc.");
}

void act(Session& s, const RubOut& a) {
  if (!may_shape(s)) return;
  auto sites = named_sites(s.board->board(), s.package.part, a.sites);
  if (!sites.ok()) return fail(s, sites.error());
  if (sites->empty()) return fail(s, {ErrorCode::kUsage, "No ball there to rub out: choose one first."});
  std::string words = fmt::format("{}: {} rubbed out", reference_of(s), counted(*sites));
  shape(s, {ShapeStep::Kind::kRub, std::move(sites).value(), {}, std::move(words)}, "");
}

void act(Session& s, const PutBack& a) {
  if (!may_shape(s)) return;
  const std::string part = reference_of(s);
  // The step holds what was not there, so that its undo takes out no more.
  const Board before = s.board->board();
  const Index at = s.package.part;
  const auto there = named_sites(before, at, a.sites);
  if (!there.ok()) return fail(s, there.error());
  const auto edit = put_back(*s.bench, s.board->info(), part, a.sites);
  if (!edit.ok()) return fail(s, edit.error());
  if (edit->changed == 0) return say(s, "Nothing changes: every site there has its ball.");
  reload_board(s, "");
  auto sites = named_sites(s.board->board(), s.package.part, a.sites);
  if (!sites.ok()) return fail(s, sites.error());
  std::erase_if(*sites, [&](const SiteName& one) {
    return std::any_of(there->begin(), there->end(), [&](const SiteName& t) { return t.ball == one.ball; });
  });
  if (sites->empty()) return;
  const std::string first = sites->front().ball;
  std::string words = fmt::format("{}: {} put back", part, counted(*sites));
  say(s, said(words, *edit) + " Undo with Ctrl+Z.");
  s.shaped.push_back({ShapeStep::Kind::kRestore, std::move(sites).value(), {}, std::move(words)});
  s.unshaped.clear();
  const Index pin = s.board->index().pin(s.package.part, first);
  if (pin != kNone) go_to(s, Topic{TopicKind::kBall, pin});
}

void act(Session& s, const NameBall& a) {
  if (!may_shape(s)) return;
  auto sites = named_sites(s.board->board(), s.package.part, {a.ball});
  if (!sites.ok()) return fail(s, sites.error());
  if (sites->empty())
    return fail(s, {ErrorCode::kNotFound, fmt::format("{} has no ball {}", reference_of(s), a.ball)});
  std::string words = a.name.empty() ? fmt::format("{}: {} has no name any more", reference_of(s), a.ball)
                                     : fmt::format("{}: {} is {}", reference_of(s), a.ball, a.name);
  shape(s, {ShapeStep::Kind::kName, std::move(sites).value(), {{a.ball, a.name}}, std::move(words)}, a.ball);
}

void act(Session& s, const TypeShape& a) {
  if (!may_shape(s)) return;
  auto words = words_in(a.text);
  const std::string last = words.empty() ? std::string() : lower(words.back());
  if (last == "out" || last == "back") {
    words.pop_back();
    if (last == "out") return act(s, RubOut{words});
    return act(s, PutBack{words});
  }
  const bool names = !words.empty() && std::all_of(words.begin(), words.end(), [](const std::string& w) {
    return w.find('=') != std::string::npos && w.front() != '=';
  });
  if (!names)
    return fail(s, {ErrorCode::kUsage, "Type sites and what happens: C3..F6 out, E5 back, A1=VDD B2=DQ0."});
  ShapeStep step{ShapeStep::Kind::kName, {}, {}, {}};
  for (const std::string& word : words) {
    const auto equals = word.find('=');
    const SiteName own{word.substr(0, equals), word.substr(equals + 1)};
    auto sites = named_sites(s.board->board(), s.package.part, {own.ball});
    if (!sites.ok()) return fail(s, sites.error());
    if (sites->empty())
      return fail(s, {ErrorCode::kNotFound, fmt::format("{} has no ball {}", reference_of(s), own.ball)});
    for (SiteName& site : *sites) {
      step.after.push_back({site.ball, own.name});
      step.before.push_back(std::move(site));
    }
  }
  step.words = fmt::format("{}: {} named", reference_of(s), count_of(step.after.size(), "ball"));
  const std::string first = step.before.front().ball;
  shape(s, std::move(step), first);
}

}  // namespace landfall::app
