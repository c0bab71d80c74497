#include <algorithm>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "viewer/app/session_inside.hpp"

// Going about: selection, the sheet and the way back, one step back.

namespace landfall::app {
namespace {

constexpr std::size_t kMostBeen = 200;

// A pin of the net on the package that is shown, else any.
Index pin_of_net(const Session& s, Index net) {
  const auto pins = s.board->index().pins_of_net(net);
  for (const Index pin : pins) {
    if (s.board->board().pins[pin].part == s.package.part) return pin;
  }
  return pins.empty() ? kNone : pins.front();
}

void push(std::vector<Step>& list, const Session& s) {
  if (!s.topic) return;
  list.push_back({*s.topic, s.package.part});
  if (list.size() > kMostBeen) list.erase(list.begin());
}

// Shows a topic without touching the way back. Only a ball of the package on the map is selected: what is
// followed to another part leaves the map where it is.
void show(Session& s, std::optional<Topic> topic) {
  if (topic && !exists(*s.board, *topic)) topic.reset();
  s.topic = topic;
  const bool here =
      topic && topic->kind == TopicKind::kBall && s.board->board().pins[topic->item].part == s.package.part;
  s.selected = here ? topic->item : kNone;
  make_sheet_anew(s);
}

// The present topic and part go onto the way back, unless the new topic is the same.
void remember(Session& s, const std::optional<Topic>& topic) {
  if (topic == s.topic) return;
  push(s.been, s);
  s.next.clear();
}

// Brings the part on the map.
void bring(Session& s, Index part) {
  if (part == s.package.part || part >= s.board->board().parts.size()) return;
  const auto topic = s.topic;
  show_part(s, part);
  s.topic = topic;
}

// To the last of `from`; where one was goes onto `to`.
void step_along(Session& s, std::vector<Step>& from, std::vector<Step>& to) {
  if (!s.board || from.empty()) return;
  push(to, s);
  const Step step = from.back();
  from.pop_back();
  bring(s, step.part);
  show(s, step.topic);
}

}  // namespace

void make_sheet_anew(Session& s) {
  s.sheet.reset();
  if (!s.topic || !s.board) return;
  s.sheet = make_sheet({s.board.get(), &s.package, s.job ? &*s.job : nullptr, s.job ? &s.assessment : nullptr,
                        s.preferences.mils, s.readings ? &s.readings->sheet : nullptr},
                       *s.topic);
}

void go_to(Session& s, std::optional<Topic> topic) {
  remember(s, topic);
  show(s, topic);
}

void go_to_net(Session& s, Index net) {
  const Index pin = pin_of_net(s, net);
  const bool seen = pin != kNone && s.board->board().pins[pin].part == s.package.part;
  go_to(s, seen ? Topic{TopicKind::kBall, pin} : Topic{TopicKind::kNet, net});
}

void leave_pages(Session& s) {
  s.board_view = s.plan_page = s.verdict_page = s.photo_page = false;
  s.page.reset();
}

void forget_pages(Session& s) {
  s.end.reset();
  forget_photos(s);
  s.page.reset();
  s.readings.reset();
  s.intake.reset();
  s.suspects.reset();
  s.worked.clear();
  s.unworked.clear();
}

bool needs_job(Session& s, const char* what) {
  if (s.board && s.job) return true;
  fail(s, {ErrorCode::kUsage, fmt::format("No job. {} need one: open it, or begin one.", what)});
  return false;
}

void act(Session& s, const SelectPin& a) {
  if (!s.board) return;
  s.chosen.clear();
  if (a.pin == kNone || a.pin >= s.board->board().pins.size()) return go_to(s, std::nullopt);
  const Topic topic{TopicKind::kBall, a.pin};
  remember(s, topic);  // with the part that is on the map until now
  bring(s, s.board->board().pins[a.pin].part);
  show(s, topic);
}

void act(Session& s, const ChooseSites& a) {
  s.chosen = a.pins;
  if (a.pins.size() == 1) return act(s, SelectPin{a.pins.front()});
  if (!a.pins.empty()) say(s, count_of(a.pins.size(), "site") + " chosen: press 0 to 6, or X.");
}

void act(Session& s, const Follow& a) {
  if (!s.board || !exists(*s.board, a.topic)) return;
  s.chosen.clear();
  go_to(s, a.topic);
}

void act(Session& s, const GoBack&) {
  step_along(s, s.been, s.next);
}

void act(Session& s, const GoForward&) {
  step_along(s, s.next, s.been);
}

void act(Session& s, const SingleOut& a) {
  s.single_out = a.topic == s.single_out ? std::nullopt : a.topic;
  if (!s.single_out || !s.board || !exists(*s.board, *s.single_out)) {
    s.single_out.reset();
    return say(s, "All classes as before.");
  }
  const auto sites = sites_of(*s.board, s.package, *s.single_out);
  say(s, fmt::format("{} {}: {} of {}. Esc shows all.", word(s.single_out->kind),
                     topic_name(*s.board, *s.single_out), std::count(sites.begin(), sites.end(), true),
                     count_of(sites.size(), "ball")));
}

void act(Session& s, const CopySheet&) {
  if (!s.sheet) return fail(s, {ErrorCode::kUsage, "There is no sheet to copy. Select a ball first."});
  s.to_copy = sheet_text(*s.sheet);
  say(s, "Copied the sheet as text.");
}

void act(Session& s, const ShowBoard&) {
  if (!s.board) return fail(s, {ErrorCode::kUsage, "There is no board yet: open one."});
  if (!s.board_view && s.board->board().lands.empty())
    return fail(s, {ErrorCode::kUsage, "No places are known: this board came from lists alone."});
  const bool shows = s.board_view;
  s.bench_page = false;
  if (!shows) leave_pages(s);
  s.board_view = !shows;
  if (s.board_view) s.bottom_side = s.package.side == Side::kBottom;
}

void act(Session& s, const OtherSide&) {
  s.bottom_side = !s.bottom_side;
}

void act(Session& s, const GoToPin& a) {
  if (!s.board || a.pin >= s.board->board().pins.size()) return;
  leave_pages(s);
  act(s, SelectPin{a.pin});
}

void act(Session& s, const Leave&) {
  s.message.clear();
  if (s.warnings) {
    s.warnings.reset();
  } else if (s.bench_view && s.bench_page) {
    s.bench_view.reset();
    s.sharing = {};
  } else if (s.pasted && s.bench_page) {
    s.pasted.reset();
    say(s, "The table was put away; nothing was kept.");
  } else if (!s.find_text.empty()) {
    act(s, FindText{});
  } else if (s.inspection) {
    s.inspection = false;
  } else if (s.single_out) {
    s.single_out.reset();
  } else if (s.photo_page && s.photos && s.photos->clicked) {
    s.photos->clicked.reset();
  } else if (!s.chosen.empty()) {
    s.chosen.clear();
  } else if (s.page && !s.bench_page) {
    s.page.reset();
  } else if (s.topic && !s.bench_page) {
    go_to(s, std::nullopt);
  } else if (s.shaping && !s.bench_page) {
    act(s, ShapePackage{});
  } else if (s.board_view && !s.bench_page) {
    s.board_view = false;
  } else if (s.plan_page && !s.bench_page) {
    s.plan_page = false;
  } else if (s.verdict_page && !s.bench_page) {
    s.verdict_page = false;
  } else if (s.photo_page && !s.bench_page) {
    s.photo_page = false;
  } else if (s.board) {
    act(s, ShowBench{});
  }
}

}  // namespace landfall::app
