// The board's panel without a display: frames are made, the mouse moved, and what comes back is compared.
#include <cmath>

#include <doctest/doctest.h>
#include <imgui.h>

#include "tests/support/files.hpp"
#include "tests/support/headless.hpp"
#include "viewer/app/import.hpp"
#include "viewer/ui/board_panel.hpp"
#include "viewer/ui/panel.hpp"
#include "viewer/ui/window.hpp"

using namespace landfall;

namespace {

const scene::Rect kArea{0, 0, 900, 700};
// The panel's map inside of that: head 44, reading line 36, a margin of 8.
const scene::Rect kMap{8, 44, 884, 620};

struct Fixture : testing::Mouse<Fixture> {
  Fixture() {
    auto started = app::start_session(folder.file("b.sqlite"));
    REQUIRE(started.ok());
    session = std::move(started).value();
    app::ImportRequest request;
    request.files = {std::filesystem::path(LANDFALL_SOURCE) / "sample-boards/skua4/skua4.kicad_pcb"};
    REQUIRE(app::import_files(*session.bench, request).ok());
    app::apply(session, app::OpenPart{1, "U1"});
    REQUIRE(session.board);
    app::apply(session, app::ShowBoard{});
    REQUIRE(session.board_view);
    for (int i = 0; i < 3; ++i) frame();
  }
  // One frame; an action that comes back is applied, as the program does.
  std::optional<app::Action> frame() {
    ImGui::NewFrame();
    ImGui::SetNextWindowPos({0, 0});
    ImGui::SetNextWindowSize({900, 700});
    ImGui::Begin("board", nullptr, ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove);
    auto action = ui::draw_board(session, state, screen.fonts, kArea);
    ImGui::End();
    ImGui::Render();
    if (action) app::apply(session, *action);
    return action;
  }
  // Where the pin's land is in the panel as it stands now.
  scene::P place(const std::string& pin) {
    scene::BoardInput in;
    in.board = session.board.get();
    in.side = session.bottom_side ? Side::kBottom : Side::kTop;
    in.zoom = state.zoom;
    in.pan = state.pan;
    const Index found = *app::find_pin(*session.board, pin);
    const Index land = session.board->index().lands_of_pin(found).front();
    return scene::BoardView(in, kMap).to_screen(scene::place_of(session.board->board().lands[land].at));
  }

  testing::ScratchFolder folder;
  app::Session session;
  ui::BoardPanelState state;
  testing::Headless screen{900, 700};
};

}  // namespace

TEST_CASE("a click on a land selects its ball, on either side, a click on bare board selects nothing") {
  Fixture f;
  f.click(f.place("U1.M2"));
  CHECK(f.session.selected == *app::find_pin(*f.session.board, "U1.M2"));
  app::apply(f.session, app::OtherSide{});
  f.frame();
  f.click(f.place("C16.1"));
  CHECK(f.session.selected == *app::find_pin(*f.session.board, "C16.1"));
  CHECK(f.session.board_view);
  // The map comes along, so that map, sheet and board speak of one ball; a step back is a step back on it.
  CHECK(f.session.board->board().parts[f.session.package.part].reference == "C16");
  app::apply(f.session, app::GoBack{});
  CHECK(f.session.board->board().parts[f.session.package.part].reference == "U1");
  CHECK(f.session.selected == *app::find_pin(*f.session.board, "U1.M2"));
  f.click({20 + 26, 80});
  CHECK(f.session.selected == kNone);
}

TEST_CASE("a double click opens the map of that part at that ball, and the board comes back with B") {
  Fixture f;
  const scene::P at = f.place("U3.A3");
  f.click(at);
  f.click(at);
  CHECK_FALSE(f.session.board_view);
  CHECK(f.session.board->board().parts[f.session.package.part].reference == "U3");
  CHECK(f.session.selected == *app::find_pin(*f.session.board, "U3.A3"));
  ui::WindowState window;
  const auto back = ui::run_command(f.session, window, app::Command::kBoard);
  REQUIRE(back);
  app::apply(f.session, *back);
  CHECK(f.session.board_view);
  CHECK(f.session.selected == *app::find_pin(*f.session.board, "U3.A3"));
}

TEST_CASE(
    "the wheel zooms about the pointer, a drag pans and selects nothing, Z shows the whole board again") {
  Fixture f;
  const scene::P at = f.place("U1.A1");
  f.move(at);
  ImGui::GetIO().MouseWheel = 1;
  f.frame();
  f.frame();
  CHECK(f.state.zoom == doctest::Approx(1.25));
  CHECK(std::abs(f.place("U1.A1").x - at.x) < 0.6);
  CHECK(std::abs(f.place("U1.A1").y - at.y) < 0.6);

  ImGui::GetIO().MouseDown[0] = true;
  f.frame();
  f.move(at + scene::P{30, 20});
  f.move(at + scene::P{60, 40});
  ImGui::GetIO().MouseDown[0] = false;
  f.frame();
  CHECK(std::abs(f.place("U1.A1").x - at.x - 60) < 1.2);
  CHECK(std::abs(f.place("U1.A1").y - at.y - 40) < 1.2);
  CHECK(f.session.selected == kNone);

  ui::board_key(f.state, 29);
  f.frame();
  CHECK(f.state.zoom == 1);
  CHECK(f.state.pan.x == 0);
  // From the whole board, near: the selected ball in the middle.
  app::apply(f.session, app::SelectPin{*app::find_pin(*f.session.board, "U2.A1")});
  ui::board_key(f.state, 29);
  f.frame();
  CHECK(f.state.zoom > 1);
  CHECK(std::abs(f.place("U2.A1").x - 450) < 1);
  CHECK(std::abs(f.place("U2.A1").y - 354) < 1);
}

TEST_CASE("keys on the board: the other side, all copper, a board without places is refused in words") {
  Fixture f;
  ui::WindowState window;
  CHECK(ui::is_board_key(9));
  const auto other = ui::board_key(window.board_panel, 9);
  REQUIRE(other);
  app::apply(f.session, *other);
  CHECK(f.session.bottom_side);
  CHECK_FALSE(f.session.look.balls);
  CHECK_FALSE(ui::board_key(window.board_panel, 6));
  CHECK(window.board_panel.every_track);
  app::apply(f.session, app::Leave{});
  CHECK_FALSE(f.session.board_view);
  CHECK(f.session.board);

  app::ImportRequest names;
  names.files = {std::filesystem::path(LANDFALL_SOURCE) / "sample-boards/skua4/skua4.net"};
  names.name = "names";
  REQUIRE(app::import_files(*f.session.bench, names).ok());
  app::apply(f.session, app::OpenPart{2, "U1"});
  app::apply(f.session, app::ShowBoard{});
  CHECK_FALSE(f.session.board_view);
  CHECK(f.session.message_is_error);
}

TEST_CASE("the line below says what is under the pointer: pin with net, part, copper, else the board") {
  Fixture f;
  const app::OpenBoard& board = *f.session.board;
  const Index pin = *app::find_pin(board, "U1.M2");
  const Index net = board.board().pins[pin].net;
  const Index part = *app::find_part(board, "U2");
  CHECK(ui::board_reading(board, scene::BoardHit{0, 0, pin, net}).starts_with("U1.M2"));
  CHECK(ui::board_reading(board, scene::BoardHit{0, 0, pin, net}).find("RAM1_D9") != std::string::npos);
  CHECK(ui::board_reading(board, scene::BoardHit{kNone, kNone, kNone, net}).starts_with("RAM1_D9"));
  CHECK(ui::board_reading(board, scene::BoardHit{kNone, part, kNone, kNone}).find("96 pins") !=
        std::string::npos);
  CHECK(ui::board_reading(board, std::nullopt).find("74 parts") != std::string::npos);
}
