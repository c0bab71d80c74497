// A window's session on the sample board, with U1 on the map; its bench file in a folder of the test's own.
#pragma once

#include <doctest/doctest.h>

#include "netdb/model/ball_name.hpp"
#include "tests/support/files.hpp"
#include "viewer/app/import.hpp"
#include "viewer/app/session.hpp"

namespace landfall::testing {

struct SessionFixture {
  SessionFixture() {
    auto started = app::start_session(folder.file("b.sqlite"));
    REQUIRE(started.ok());
    session = std::move(started).value();
    app::ImportRequest request;
    request.files = {board_file()};
    REQUIRE(app::import_files(*session.bench, request).ok());
    app::apply(session, app::OpenPart{1, "U1"});
    REQUIRE(session.board);
  }
  static std::filesystem::path board_file() {
    return std::filesystem::path(LANDFALL_SOURCE) / "sample-boards/skua4/skua4.kicad_pcb";
  }
  void job() {
    app::apply(session, app::NewJob{{}, "", SafetyAnswer::kNo});
    REQUIRE(session.job);
  }
  Index pin(const std::string& ball) { return *app::find_ball(*session.board, session.package.part, ball); }
  // The net's ball on U1.
  Index net_ball(const std::string& net) {
    for (const Index pin : session.board->index().pins_of_net(*app::find_net(*session.board, net))) {
      if (session.board->board().pins[pin].part == session.package.part) return pin;
    }
    FAIL("U1 has no ball on " << net);
    return kNone;
  }
  ScratchFolder folder;
  app::Session session;
};

}  // namespace landfall::testing
