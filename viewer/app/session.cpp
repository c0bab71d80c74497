#include "viewer/app/session.hpp"

#include <algorithm>
#include <ctime>
#include <tuple>

#include <fmt/format.h>

#include "viewer/app/session_inside.hpp"

// Start, what is said, and how it looks. Going about, marking, boards and jobs have files of their own.

namespace landfall::app {
namespace {

constexpr std::size_t kMostEarlier = 200;
constexpr std::size_t kMostEarlierBytes = 400;

void remember(Session& s) {
  if (s.message.empty()) return;
  if (!s.earlier.empty() && s.earlier.back() == s.message) return;
  s.earlier.push_back(s.message.substr(0, kMostEarlierBytes));
  if (s.earlier.size() > kMostEarlier) s.earlier.erase(s.earlier.begin());
}

std::optional<int> digits(std::string_view text) {
  const auto number = parse_integer(text);
  if (!number || *number < 0 || *number > 9999) return std::nullopt;
  return static_cast<int>(*number);
}

}  // namespace

void say(Session& s, std::string text) {
  s.message = std::move(text);
  s.message_is_error = false;
  remember(s);
}

void fail(Session& s, const Error& error) {
  s.message = error.message;
  s.message_is_error = true;
  remember(s);
}

std::string clock_text(const std::string& utc) {
  // "2026-03-01T14:02:11Z".
  if (utc.size() != 20 || utc[10] != 'T' || utc[19] != 'Z') return {};
  const std::string_view text = utc;
  std::tm tm{};
  const auto year = digits(text.substr(0, 4));
  const auto month = digits(text.substr(5, 2));
  const auto day = digits(text.substr(8, 2));
  const auto hour = digits(text.substr(11, 2));
  const auto minute = digits(text.substr(14, 2));
  const auto second = digits(text.substr(17, 2));
  if (!year || !month || !day || !hour || !minute || !second) return {};
  tm.tm_year = *year - 1900;
  tm.tm_mon = *month - 1;
  tm.tm_mday = *day;
  tm.tm_hour = *hour;
  tm.tm_min = *minute;
  tm.tm_sec = *second;
#ifdef _WIN32
  const std::time_t at = _mkgmtime(&tm);
  std::tm local{};
  localtime_s(&local, &at);
#else
  const std::time_t at = timegm(&tm);
  std::tm local{};
  localtime_r(&at, &local);
#endif
  return fmt::format("{:02}:{:02}:{:02}", local.tm_hour, local.tm_min, local.tm_sec);
}

void act(Session& s, const SetLook& a) {
  const Look before = s.look;
  s.look = sound_look(a.look);
  const bool turned = s.look.turn != before.turn;
  // Not among the earlier messages: a drag of the rose says many.
  const auto mention = [&](std::string text) {
    s.message = std::move(text);
    s.message_is_error = false;
  };
  if (s.look.balls != before.balls) {
    mention(s.look.balls ? "Balls: the chip seen from below, mirrored."
                         : "Lands: looking down on the board.");
  } else if (turned) {
    mention(s.look.turn == 0 ? std::string("Not turned.")
                             : fmt::format("Turned {:g}\u00B0 clockwise.", s.look.turn));
  } else if (s.look.true_scale != before.true_scale) {
    mention(s.look.true_scale ? "True scale." : "Schematic grid.");
  }
  keep_look(s);
}

void act(Session& s, const NextTheme&) {
  s.preferences.theme = (s.preferences.theme + 1) % kThemes;
}

void act(Session& s, const SetTextSize& a) {
  s.preferences.text_percent = next_text_percent(s.preferences.text_percent, a.larger);
  say(s, fmt::format("Text at {}\u00A0%.", s.preferences.text_percent));
}

void act(Session& s, const NextUnits&) {
  s.preferences.mils = !s.preferences.mils;
  say(s, s.preferences.mils ? "Lengths in mils." : "Lengths in millimetres.");
  make_sheet_anew(s);
}

void act(Session& s, const ToggleInspection&) {
  s.inspection = !s.inspection;
}

void act(Session& s, const Complain& a) {
  fail(s, {ErrorCode::kUsage, a.text});
}

Result<Session> start_session(const std::filesystem::path& bench_file) {
  auto bench = store::Bench::open(bench_file);
  if (!bench.ok()) return bench.error();
  Session session;
  session.bench_file = bench_file;
  session.bench = std::make_shared<store::Bench>(std::move(bench).value());
  fill_start(session);
  return session;
}

void stop_work(Session& session) {
  session.import.reset();
  session.summing.reset();
  session.reading_names.reset();
}

// What shows in the window.
static auto view_of(const Session& s) {
  return std::make_tuple(s.bench_page, s.bench_view, s.page, s.board_view, s.plan_page, s.verdict_page,
                         s.photo_page);
}

void apply(Session& session, const Action& action) {
  ++session.revision;
  const bool had_plan = session.plan_page;
  const auto view = view_of(session);
  const std::string before = session.message;
  std::visit([&](const auto& a) { act(session, a); }, action);
  // What was said of one page, its way back among it, does not hold on another.
  if (view != view_of(session) && session.message == before) {
    session.message.clear();
    session.message_is_error = false;
  }
  // The plan's page looks where its wires are; the map keeps its place meanwhile.
  if (!had_plan && session.plan_page) session.map_look = session.look;
  if (had_plan && !session.plan_page && session.map_look) {
    // Face, turn and scale go along; the place alone is the map's own.
    session.look.zoom = session.map_look->zoom;
    session.look.x = session.map_look->x;
    session.look.y = session.map_look->y;
    session.map_look.reset();
    keep_look(session);
  }
}

}  // namespace landfall::app
