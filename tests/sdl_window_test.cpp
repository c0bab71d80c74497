// The window itself on SDL's dummy screen with the software renderer: files dropped on it, typed paths, keys.
#include <cstdlib>
#include <thread>

#include <doctest/doctest.h>

#include "tests/support/files.hpp"
#include "viewer/sdl/window.hpp"

using namespace landfall;

namespace {

void push_drop(const std::filesystem::path& file) {
  SDL_Event event{};
  event.type = SDL_DROPFILE;
  event.drop.file = SDL_strdup(file.string().c_str());
  SDL_PushEvent(&event);
}

void push(Uint32 type) {
  SDL_Event event{};
  event.type = type;
  SDL_PushEvent(&event);
}

}  // namespace

TEST_CASE(
    "files dropped together are read as one board, the window closes when asked to, and keeps its size") {
  SDL_SetHint(SDL_HINT_VIDEODRIVER, "dummy");
  testing::ScratchFolder folder;
  auto session = app::start_session(folder.file("b.sqlite"));
  REQUIRE(session.ok());
  sdl::WindowOptions options;
  options.config = folder.file("config");
  options.renderer = "software";
  options.scale = 1;
  {
    sdl::Window window(std::move(session).value(), options);
    REQUIRE_MESSAGE(window.open(), SDL_GetError());
    const std::filesystem::path design = std::filesystem::path(LANDFALL_SOURCE) / "sample-boards/skua4";
    push_drop(design / "skua4.kicad_pcb");
    push_drop(design / "skua4.ipc");
    push(SDL_DROPCOMPLETE);
    // Another connection sees the board once it is kept; then the window is asked to close.
    std::thread watcher([&] {
      auto bench = store::Bench::open(folder.file("b.sqlite"));
      for (int i = 0; i < 12'000 && bench.ok() && bench->boards()->empty(); ++i)
        std::this_thread::sleep_for(std::chrono::milliseconds(10));
      push(SDL_QUIT);
    });
    window.take(app::NextTheme{});
    window.run();
    watcher.join();
  }
  auto bench = store::Bench::open(folder.file("b.sqlite"));
  REQUIRE(bench.ok());
  REQUIRE(bench->boards()->size() == 1);
  CHECK(bench->sources(1)->size() == 2);
  CHECK(app::load_preferences(folder.file("config") / "window").theme == 1);
}
