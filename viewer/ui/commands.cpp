#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "viewer/scene/look.hpp"
#include "viewer/ui/panel.hpp"

// What a command does: an action, or a change of the window's own state.

namespace landfall::ui {
namespace {

using app::Command;

constexpr double kNearPitch = 40;

std::size_t site_of(const app::Session& session, Index pin) {
  const auto& sites = session.package.sites;
  for (std::size_t i = 0; i < sites.size(); ++i) {
    if (sites[i].pin == pin) return i;
  }
  return sites.size();
}

bool marked(const app::Session& session, Index pin) {
  if (!session.job) return false;
  const Pin& p = session.board->board().pins[pin];
  const std::string& part = session.board->board().parts[p.part].reference;
  return std::any_of(session.job->marks.begin(), session.job->marks.end(),
                     [&](const Mark& m) { return m.part == part && m.ball == p.number; });
}

// The nearest site that way on the screen: along it, and as little aside as can be.
Index next_site(const app::Session& session, const scene::MapView& map, scene::P way, bool marks_only) {
  const auto& sites = session.package.sites;
  const std::size_t from = site_of(session, session.selected);
  if (from == sites.size()) return sites.empty() ? kNone : sites.front().pin;
  Index best = session.selected;
  double least = 1e18;
  for (std::size_t i = 0; i < sites.size(); ++i) {
    const scene::P by = map.place(i) - map.place(from);
    const double along = by.x * way.x + by.y * way.y;
    const double aside = std::abs(by.x * way.y - by.y * way.x);
    if (along < map.pitch() * 0.3 || aside > along) continue;
    const double cost = along + 3 * aside;
    if (cost >= least || (marks_only && !marked(session, sites[i].pin))) continue;
    least = cost;
    best = sites[i].pin;
  }
  return best;
}

// One on along the row as the screen shows it, at its end to the next row: sites in reading order.
Index along_row(const app::Session& session, const scene::MapView& map, bool back, bool bare_only) {
  const auto& sites = session.package.sites;
  if (sites.empty()) return kNone;
  std::vector<std::size_t> order(sites.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  // Rows of the screen: half a pitch tells them apart. At a free angle the grid's own order serves.
  const bool quarter = std::fmod(session.look.turn, 90.0) == 0;
  if (quarter) {
    const double half = std::max(map.pitch() / 2, 1.0);
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
      const auto row_a = std::lround(map.place(a).y / half);
      const auto row_b = std::lround(map.place(b).y / half);
      return row_a != row_b ? row_a < row_b : map.place(a).x < map.place(b).x;
    });
  }
  const auto at = std::find_if(order.begin(), order.end(),
                               [&](std::size_t i) { return sites[i].pin == session.selected; });
  const std::size_t count = order.size();
  const std::size_t start =
      at == order.end() ? (back ? 0 : count - 1) : static_cast<std::size_t>(at - order.begin());
  for (std::size_t n = 1; n <= count; ++n) {
    const std::size_t i = order[(start + (back ? count - n : n)) % count];
    if (!bare_only || !marked(session, sites[i].pin)) return sites[i].pin;
  }
  return session.selected;
}

Index mark_beside(const app::Session& session, bool back) {
  const auto& rows = session.marks;
  if (rows.empty()) return kNone;
  const auto at = std::find_if(rows.begin(), rows.end(), [&](const app::MarkRow& r) {
    return r.pin == session.selected && r.pin != kNone;
  });
  const std::size_t count = rows.size();
  std::size_t i = at == rows.end() ? (back ? 0 : count - 1) : static_cast<std::size_t>(at - rows.begin());
  for (std::size_t n = 0; n < count; ++n) {
    i = (i + (back ? count - 1 : 1)) % count;
    if (rows[i].pin != kNone) return rows[i].pin;
  }
  return kNone;
}

// The ball's lane, bus, channel, class, and back to all.
std::optional<app::Action> next_group(const app::Session& session) {
  const Index net = session.selected == kNone ? kNone : session.board->board().pins[session.selected].net;
  if (net == kNone) return app::Complain{"Select a ball on a net first."};
  const NetSignal& signal = session.board->signals().nets[net];
  std::vector<app::Topic> ways;
  if (signal.lane != kNone) ways.push_back({app::TopicKind::kLane, signal.lane});
  if (signal.bus != kNone) ways.push_back({app::TopicKind::kBus, signal.bus});
  if (signal.channel != kNone) ways.push_back({app::TopicKind::kChannel, signal.channel});
  ways.push_back({app::TopicKind::kClass, static_cast<Index>(signal.signal_class)});
  if (!session.single_out) return app::SingleOut{ways.front()};
  const auto at = std::find(ways.begin(), ways.end(), *session.single_out);
  if (at == ways.end()) return app::SingleOut{ways.front()};
  if (at + 1 == ways.end()) return app::SingleOut{std::nullopt};
  return app::SingleOut{*(at + 1)};
}

// Commands that look at the map's geometry.
std::optional<app::Action> map_command(const app::Session& session, WindowState& state, Command command) {
  MapFlags flags;
  const scene::MapInput in = map_input(session, flags);
  const scene::Rect area = state.map_area;
  const scene::MapView map(in, area);
  const scene::P middle = map.inner().middle();
  app::Look look = session.look;
  switch (command) {
    case Command::kUp:
    case Command::kUpMark:
      return app::SelectPin{next_site(session, map, {0, -1}, command == Command::kUpMark)};
    case Command::kDown:
    case Command::kDownMark:
      return app::SelectPin{next_site(session, map, {0, 1}, command == Command::kDownMark)};
    case Command::kLeft:
    case Command::kLeftMark:
      return app::SelectPin{next_site(session, map, {-1, 0}, command == Command::kLeftMark)};
    case Command::kRight:
    case Command::kRightMark:
      return app::SelectPin{next_site(session, map, {1, 0}, command == Command::kRightMark)};
    case Command::kAlongRow:
    case Command::kBackAlongRow:
      return app::SelectPin{along_row(session, map, command == Command::kBackAlongRow, false)};
    case Command::kNextBare:
      return app::SelectPin{along_row(session, map, false, true)};
    case Command::kTurnOn:
      look.turn += 90;
      return app::SetLook{keeping_place(in, area, session.look, look)};
    case Command::kTurnBack:
      look.turn -= 90;
      return app::SetLook{keeping_place(in, area, session.look, look)};
    case Command::kTurnOnABit:
      look.turn += 5;
      return app::SetLook{keeping_place(in, area, session.look, look)};
    case Command::kTurnBackABit:
      look.turn -= 5;
      return app::SetLook{keeping_place(in, area, session.look, look)};
    case Command::kFace:
      look.balls = !look.balls;
      return app::SetLook{keeping_place(in, area, session.look, look)};
    case Command::kTrueScale:
      look.true_scale = !look.true_scale;
      return app::SetLook{keeping_place(in, area, session.look, look)};
    case Command::kNearer:
      return app::SetLook{zoomed(in, area, session.look, middle, 1.25)};
    case Command::kFarther:
      return app::SetLook{zoomed(in, area, session.look, middle, 0.8)};
    case Command::kWhole: {
      const std::size_t site = site_of(session, session.selected);
      if (look.zoom <= 1.0001 && site < session.package.sites.size())
        return app::SetLook{near_to(in, area, session.look, site, kNearPitch)};
      if (look.zoom <= 1.0001) return app::SetLook{zoomed(in, area, session.look, middle, 2)};
      look.zoom = 1;
      look.x = look.y = 0;
      return app::SetLook{look};
    }
    default:
      return std::nullopt;
  }
}

std::optional<app::Action> job_command(const app::Session& session, WindowState& state, Command command) {
  switch (command) {
    case Command::kOff:
      return app::MarkMany{acted_on(session), std::nullopt};
    case Command::kAgain:
      if (!state.same_again) return app::Complain{"No mark was set yet: press 0 to 6 first."};
      return app::MarkMany{acted_on(session), state.same_again};
    case Command::kType:
      if (!session.job) return app::Complain{"No job. Marks need one."};
      open_form(state, Form::kType);
      return std::nullopt;
    case Command::kNote:
      if (session.selected == kNone || !marked(session, session.selected))
        return app::Complain{"Select a marked ball first: a note stands on a mark."};
      open_form(state, Form::kNote);
      for (const Mark& mark : session.job->marks) {
        const Pin& pin = session.board->board().pins[session.selected];
        if (mark.ball == pin.number && mark.part == session.board->board().parts[pin.part].reference)
          state.field = mark.note;
      }
      return std::nullopt;
    case Command::kNextMark:
    case Command::kPreviousMark: {
      const Index pin = mark_beside(session, command == Command::kPreviousMark);
      if (pin == kNone) return app::Complain{"No marks yet."};
      return app::SelectPin{pin};
    }
    case Command::kOrder:
      return app::OrderMarks{
          static_cast<app::MarkOrder>((static_cast<int>(session.order) + 1) % app::kMarkOrders)};
    case Command::kGroup:
      return next_group(session);
    case Command::kInspection:
      return app::ToggleInspection{};
    default:
      return std::nullopt;
  }
}

// The same mark on what is selected, and one on: `0 Enter Enter Enter` sets four sound. The move comes with
// the next frame, so that the gesture is kept first.
std::optional<app::Action> on_and_again(const app::Session& session, WindowState& state) {
  if (!state.same_again) return app::Complain{"No mark was set yet: press 0 to 6 first."};
  const auto moved = map_command(session, state, Command::kAlongRow);
  if (!moved) return std::nullopt;
  const auto* to = std::get_if<app::SelectPin>(&*moved);
  if (to == nullptr || to->pin == kNone) return std::nullopt;
  state.then = app::MarkMany{{to->pin}, state.same_again};
  return moved;
}

// Up and down the rows of the bench page, and into one.
std::optional<app::Action> bench_command(const app::Session& session, WindowState& state, Command command) {
  const std::vector<BenchRow> rows = bench_rows(session);
  if (rows.empty()) return std::nullopt;
  const auto at = std::find_if(rows.begin(), rows.end(), [&](const BenchRow& row) {
    return row.board == state.chosen_board && row.job == state.chosen_job;
  });
  const auto go = [&](std::size_t i) {
    state.chosen_board = rows[i].board;
    state.chosen_job = rows[i].job;
  };
  const auto n = static_cast<std::size_t>(at - rows.begin());
  if (command == Command::kDown) go(at == rows.end() ? 0 : std::min(n + 1, rows.size() - 1));
  if (command == Command::kUp) go(at == rows.end() ? rows.size() - 1 : n - std::min<std::size_t>(n, 1));
  if (command != Command::kOnAndAgain) return std::nullopt;
  if (at == rows.end()) return app::Complain{"Choose a board or a job with Up and Down, then Enter."};
  if (at->job != 0) return app::OpenJob{at->job};
  return app::OpenPart{at->board, ""};
}

// Besides the mark keys themselves.
bool sets_marks(Command command) {
  return command == Command::kOff || command == Command::kAgain || command == Command::kOnAndAgain;
}

// Rows of the page that stands in the map's place, and what else its keys do.
std::optional<app::Action> page_command(const app::Session& session, WindowState& state, Command command,
                                        bool& taken) {
  taken = false;
  switch (*session.page) {
    case app::JobPage::kIntake:
      return intake_command(session, state, command, taken);
    case app::JobPage::kSuspects:
      return suspect_command(session, state, command, taken);
    case app::JobPage::kReadings:
      return reading_command(session, state, command, taken);
  }
  return std::nullopt;
}

// The job that is chosen on the bench, else the one that is open.
app::Action close_or_open(const app::Session& session, const WindowState& state) {
  const std::int64_t open = session.job ? session.job->id : 0;
  const std::int64_t id = session.bench_page && state.chosen_job != 0 ? state.chosen_job : open;
  if (session.job && session.job->id == id) return app::CloseJob{id, !session.job->closed};
  for (const Job& job : session.jobs) {
    if (job.id == id) return app::CloseJob{id, !job.closed};
  }
  return app::Complain{"No job to close: open one, or choose one on the bench."};
}

std::optional<app::Action> window_command(const app::Session& session, WindowState& state, Command command) {
  switch (command) {
    case Command::kLeave:
      state.typed.clear();
      state.drag_from.reset();
      state.stroke.clear();
      if (session.import) return app::StopImport{};
      if (state.form != Form::kNone) {
        state.form = Form::kNone;
        return std::nullopt;
      }
      return app::Leave{};
    case Command::kKeys:
    case Command::kMessages: {
      const Form form = command == Command::kKeys ? Form::kKeys : Form::kMessages;
      state.form = state.form == form ? Form::kNone : form;
      return std::nullopt;
    }
    case Command::kOpen:
      open_form(state, Form::kOpen);
      return app::ShowBench{};
    case Command::kBare:
      open_form(state, Form::kBare);
      return app::ShowBench{};
    case Command::kPaste:
      open_form(state, Form::kNone);
      state.column = 0;
      // On a board's map the table is about that board, as a rule; on the bench it is a new one.
      if (session.board && !session.bench_page) state.into = session.board->info().id;
      return app::PasteTable{clipboard_text()};
    case Command::kShape:
      state.form = Form::kNone;
      return app::ShapePackage{};
    case Command::kNewJob:
      open_form(state, Form::kNewJob);
      if (session.bench_page) state.board = state.chosen_board;
      return std::nullopt;
    case Command::kBench:
      return app::ShowBench{};
    case Command::kMap:
      state.form = Form::kNone;
      return app::ShowMap{};
    case Command::kBoard:
      return app::ShowBoard{};
    case Command::kPlan:
      return app::ShowPlan{};
    case Command::kVerdict:
      return app::ShowVerdict{};
    case Command::kPhotos:
      return app::ShowPhotos{};
    case Command::kIntake:
      return app::ShowIntake{};
    case Command::kSuspects:
      return app::ShowSuspects{};
    case Command::kDark:
    case Command::kGood:
      return app::TurnSymptom{acted_on(session), command == Command::kGood};
    case Command::kReadings:
      return app::ShowReadings{};
    case Command::kCloseJob:
      return close_or_open(session, state);
    case Command::kNames:
      state.form = Form::kNone;
      return app::ShowNames{session.bench_page && state.chosen_board != 0 ? state.chosen_board
                            : session.board                               ? session.board->info().id
                                                                          : state.chosen_board};
    case Command::kShelf:
      state.form = Form::kNone;
      return app::ShowShelf{};
    case Command::kSharing:
      state.form = Form::kNone;
      return app::ShowSharing{};
    case Command::kSheets:
      state.form = Form::kNone;
      state.sharing.to_paper = true;
      if (session.bench_page && session.bench_view == app::BenchPage::kSharing) return std::nullopt;
      return app::ShowSharing{};
    case Command::kPhotoUnder:
      return app::PhotoUnder{};
    case Command::kFainter:
      state.photo.strength = std::max(0.0, state.photo.strength - 0.1);
      return std::nullopt;
    case Command::kStronger:
      state.photo.strength = std::min(1.0, state.photo.strength + 0.1);
      return std::nullopt;
    case Command::kTakeBackMatch:
      return app::TakeBackMatch{};
    case Command::kNextProposal:
    case Command::kPreviousProposal:
      return app::StepProposal{command == Command::kPreviousProposal};
    case Command::kDropTrial:
      return app::DropTrial{};
    case Command::kTheme:
      return app::NextTheme{};
    case Command::kFullScreen:
      state.wants_full_screen = true;
      return std::nullopt;
    case Command::kLarger:
      return app::SetTextSize{true};
    case Command::kSmaller:
      return app::SetTextSize{false};
    case Command::kUnits:
      return app::NextUnits{};
    case Command::kUndo:
      return app::Undo{};
    case Command::kRedo:
      return app::Redo{};
    case Command::kFind:
      state.focus_find = session.board || !session.boards.empty();
      return std::nullopt;
    case Command::kFindWide:
      if (!session.board) return std::nullopt;  // then it is wide already
      state.focus_find = true;
      return app::FindWide{!session.find_wide};
    case Command::kCopy:
      return app::CopySheet{};
    case Command::kBack:
      return app::GoBack{};
    case Command::kForward:
      return app::GoForward{};
    case Command::kLegend:
      state.legend = !state.legend;
      return std::nullopt;
    default:
      return std::nullopt;
  }
}

}  // namespace

bool hides_map(const app::Session& session) {
  return !session.bench_page && (session.plan_page || session.verdict_page || session.page);
}

app::Action marks_wait(const WindowState& state) {
  std::string key = state.keys.keys_of(Command::kMap);
  return app::Complain{fmt::format("Marks are set on the map: {}.", key.substr(0, key.find(',')))};
}

std::optional<app::Action> run_command(const app::Session& session, WindowState& state, Command command) {
  const bool map = session.board && !session.bench_page;
  if (map && session.shaping) {
    bool taken = false;
    auto action = shape_command(session, state, command, taken);
    if (taken) return action;
  }
  if (map && session.page && state.form == Form::kNone) {
    bool taken = false;
    auto action = page_command(session, state, command, taken);
    if (taken) return action;
  }
  if (map && session.plan_page && session.plan && state.form == Form::kNone) {
    bool taken = false;
    auto action = plan_command(session, command, taken);
    if (taken) return action;
  }
  if (sets_marks(command) && hides_map(session)) return marks_wait(state);
  if (map) {
    if (command == Command::kOnAndAgain) return on_and_again(session, state);
    if (auto action = map_command(session, state, command)) return action;
    const Form before = state.form;
    if (auto action = job_command(session, state, command)) return action;
    if (state.form != before) return std::nullopt;
  } else if (session.warnings && session.bench_page && command == Command::kOnAndAgain) {
    return app::ReadWarnings{std::nullopt};
  } else if (session.bench_view && session.bench_page && command == Command::kOnAndAgain) {
    state.focus_field = true;
    return std::nullopt;
  } else if (session.bench_page && state.form == Form::kNone && !session.bench_view) {
    if (auto action = bench_command(session, state, command)) return action;
  }
  return window_command(session, state, command);
}

}  // namespace landfall::ui
