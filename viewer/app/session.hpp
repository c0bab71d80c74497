// The window's state and the one door through which it changes: an action in, a new state out. No SDL, no
// ImGui: the same session is driven by tests.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "netdb/model/package.hpp"
#include "viewer/app/about.hpp"
#include "viewer/app/desk.hpp"
#include "viewer/app/find.hpp"

namespace landfall::app {

struct SelectPin {
  Index pin = kNone;
};
struct MarkPin {
  Index pin = kNone;
  std::optional<MarkKind> kind;  // none: take the mark off
};
struct Undo {};
struct Redo {};
struct FindText {
  std::string text;
};
struct GoToHit {
  std::size_t hit = 0;
};
struct OpenJob {
  std::int64_t job = 0;
};
struct OpenPart {
  std::int64_t board = 0;
  std::string part;
};
struct NewJob {};  // for the part on the map
struct AnswerSafety {
  bool critical = false;
};
struct OtherFace {};
struct TurnBy {
  double degrees = 0;
};
struct NextTheme {};
struct ToggleInspection {};
struct ShowBoard {};  // the whole board in place of the map, and back
struct OtherSide {};  // of the board
struct GoToPin {      // on the map of its own part
  Index pin = kNone;
};
struct Leave {};    // one step back: finds, then the selection, then the map
struct Refresh {};  // another program may have changed the bench file

using Action = std::variant<SelectPin, MarkPin, Undo, Redo, FindText, GoToHit, OpenJob, OpenPart, NewJob,
                            AnswerSafety, OtherFace, TurnBy, NextTheme, ToggleInspection, ShowBoard,
                            OtherSide, GoToPin, Leave, Refresh>;

struct Session {
  std::shared_ptr<store::Bench> bench;
  std::vector<store::BoardInfo> boards;  // the start page
  std::vector<Job> jobs;

  std::shared_ptr<const OpenBoard> board;  // none: the start page shows
  Package package;                         // on the map
  std::optional<Job> job;
  rework::Assessment assessment;
  std::shared_ptr<const FindIndex> index;

  Index selected = kNone;
  std::optional<AboutBall> about;  // of the selected ball
  std::string find_text;
  std::vector<Hit> hits;
  std::size_t hits_total = 0;

  bool balls_face = false;
  double turn = 0;
  int theme = 0;
  bool inspection = false;
  bool board_view = false;   // the whole board shows in place of the map
  bool bottom_side = false;  // of the board
  std::string message;       // what was just done, or what is wrong
  bool message_is_error = false;
  std::string kept;  // when the last gesture was kept
  std::int64_t seen_version = 0;
};

// Opens the bench file and fills the start page.
Result<Session> start_session(const std::filesystem::path& bench_file);

// Applies one action. What is wrong stands in `message`; the rest of the state is then as it was.
void apply(Session& session, const Action& action);

}  // namespace landfall::app
