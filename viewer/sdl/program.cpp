#include "viewer/sdl/program.hpp"

#include <algorithm>
#include <cstdio>
#include <exception>
#include <memory>
#include <vector>

#include <SDL.h>
#include <backends/imgui_impl_sdl.h>
#include <fmt/format.h>
#include <imgui.h>

#include "viewer/app/session.hpp"
#include "viewer/sdl/painter.hpp"
#include "viewer/ui/window.hpp"

namespace landfall::sdl {
namespace {

struct Arguments {
  std::filesystem::path bench = app::default_bench_file();
  std::vector<std::string> what;
  bool help = false;
};

Arguments read_arguments(int argc, char** argv) {
  Arguments arguments;
  for (int i = 1; i < argc; ++i) {
    const std::string word = argv[i];
    if (word == "--bench" && i + 1 < argc) {
      arguments.bench = argv[++i];
    } else if (word == "--help" || word == "-h") {
      arguments.help = true;
    } else {
      arguments.what.push_back(word);
    }
  }
  return arguments;
}

struct Destroy {
  void operator()(SDL_Window* window) const { SDL_DestroyWindow(window); }
  void operator()(SDL_Renderer* renderer) const { SDL_DestroyRenderer(renderer); }
  void operator()(SDL_Texture* texture) const { SDL_DestroyTexture(texture); }
};

class Window {
 public:
  explicit Window(app::Session session) : session_(std::move(session)) {}

  // False when there is no screen to open it on.
  bool open() {
    // Else the software renderer presents through OpenGL, at three times the cost.
    SDL_SetHint(SDL_HINT_FRAMEBUFFER_ACCELERATION, "0");
    if (SDL_Init(SDL_INIT_VIDEO) != 0) return false;
    window_.reset(SDL_CreateWindow("Landfall", SDL_WINDOWPOS_CENTERED, SDL_WINDOWPOS_CENTERED, 1280, 800,
                                   SDL_WINDOW_RESIZABLE | SDL_WINDOW_ALLOW_HIGHDPI));
    if (!window_) return false;
    renderer_.reset(SDL_CreateRenderer(window_.get(), -1, SDL_RENDERER_ACCELERATED));
    if (!renderer_) renderer_.reset(SDL_CreateRenderer(window_.get(), -1, SDL_RENDERER_SOFTWARE));
    if (!renderer_) return false;
    ImGui::CreateContext();
    ImGuiIO& io = ImGui::GetIO();
    io.IniFilename = nullptr;
    io.BackendFlags |= ImGuiBackendFlags_RendererHasVtxOffset;
    ImGui_ImplSDL2_InitForSDLRenderer(window_.get());
    int pixels = 0;
    int units = 1;
    SDL_GetRendererOutputSize(renderer_.get(), &pixels, nullptr);
    SDL_GetWindowSize(window_.get(), &units, nullptr);
    const float scale = static_cast<float>(pixels) / static_cast<float>(std::max(units, 1));
    fonts_ = ui::load_fonts(scale);
    io.FontGlobalScale = 1 / scale;
    texture_.reset(upload_fonts(renderer_.get()));
    return texture_ != nullptr;
  }

  void run() {
    int redraws = 3;  // ImGui needs two frames to settle
    bool open = true;
    while (open) {
      SDL_Event event;
      const bool have = redraws > 0 ? SDL_PollEvent(&event) == 1 : SDL_WaitEventTimeout(&event, 500) == 1;
      if (have) {
        open = take_events(event);
        redraws = 3;
      } else if (redraws == 0) {
        // Another window on this bench file may have marked something.
        const auto before = session_.seen_version;
        app::apply(session_, app::Refresh{});
        if (session_.seen_version != before || ImGui::GetIO().WantTextInput) redraws = 1;
      }
      if (redraws == 0) continue;
      frame();
      --redraws;
    }
  }

  void close() {
    if (ImGui::GetCurrentContext() != nullptr) {
      ImGui_ImplSDL2_Shutdown();
      ImGui::DestroyContext();
    }
    texture_.reset();
    renderer_.reset();
    window_.reset();
    SDL_Quit();
  }

 private:
  // At most one key, button or text event a frame: ImGui keeps states, not a queue, and would miss changes.
  bool take_events(SDL_Event event) {
    do {
      ImGui_ImplSDL2_ProcessEvent(&event);
      if (event.type == SDL_QUIT) return false;
      const bool key = event.type == SDL_KEYDOWN || event.type == SDL_KEYUP;
      if (key) {
        // The event's own modifiers, not the newest state.
        ImGuiIO& io = ImGui::GetIO();
        io.KeyCtrl = (event.key.keysym.mod & KMOD_CTRL) != 0;
        io.KeyShift = (event.key.keysym.mod & KMOD_SHIFT) != 0;
        io.KeyAlt = (event.key.keysym.mod & KMOD_ALT) != 0;
        ctrl_ = io.KeyCtrl;
        shift_ = io.KeyShift;
      }
      if (key || event.type == SDL_MOUSEBUTTONDOWN || event.type == SDL_MOUSEBUTTONUP ||
          event.type == SDL_TEXTINPUT)
        return true;
    } while (SDL_PollEvent(&event) == 1);
    return true;
  }

  void frame() {
    const scene::Theme& theme = scene::theme(static_cast<scene::ThemeName>(session_.theme));
    ui::set_style(theme);
    ImGui_ImplSDL2_NewFrame();
    ImGuiIO& io = ImGui::GetIO();
    io.KeyCtrl = ctrl_;
    io.KeyShift = shift_;
    ImGui::NewFrame();
    const auto action = ui::draw_window(session_, state_, fonts_, io.DisplaySize.x, io.DisplaySize.y);
    ImGui::Render();
    SDL_SetRenderDrawColor(renderer_.get(), theme.sheet.r, theme.sheet.g, theme.sheet.b, 255);
    SDL_RenderClear(renderer_.get());
    paint_frame(renderer_.get());
    SDL_RenderPresent(renderer_.get());
    if (action) {
      app::apply(session_, *action);
      // For tests and logs: what was done, once it is kept.
      if (!session_.message.empty()) {
        fmt::print("{}\n", session_.message);
        std::fflush(stdout);
      }
    }
  }

  app::Session session_;
  ui::WindowState state_;
  ui::Fonts fonts_;
  bool ctrl_ = false, shift_ = false;
  std::unique_ptr<SDL_Window, Destroy> window_;
  std::unique_ptr<SDL_Renderer, Destroy> renderer_;
  std::unique_ptr<SDL_Texture, Destroy> texture_;
};

// JOB, BOARD or BOARD PART.
Status open_what(app::Session& session, const std::vector<std::string>& what) {
  if (what.empty()) return done();
  if (what.size() == 1) {
    if (const auto job = app::find_job(*session.bench, what[0]); job.ok()) {
      app::apply(session, app::OpenJob{job->id});
      return done();
    }
  }
  const auto board = app::find_board(*session.bench, what[0]);
  if (!board.ok()) return board.error();
  app::apply(session, app::OpenPart{board->id, what.size() > 1 ? what[1] : ""});
  if (session.message_is_error) return Error{ErrorCode::kNotFound, session.message};
  return done();
}

int fail(const Error& error) {
  fmt::print(stderr, "landfall-viewer: {}\n", error.message);
  return app::exit_code(error.code);
}

}  // namespace

int run(int argc, char** argv) {
  try {
    const Arguments arguments = read_arguments(argc, argv);
    if (arguments.help) {
      fmt::print(
          "landfall-viewer [--bench FILE] [JOB | BOARD [PART]]: the window; landfall --help tells the "
          "rest\n");
      return 0;
    }
    auto session = app::start_session(arguments.bench);
    if (!session.ok()) return fail(session.error());
    if (auto opened = open_what(*session, arguments.what); !opened.ok()) return fail(opened.error());
    Window window(std::move(session).value());
    const bool open = window.open();
    if (open) window.run();
    const std::string why = SDL_GetError();
    window.close();
    return open ? 0 : fail({ErrorCode::kNotFound, "there is no screen to open a window on: " + why});
  } catch (const std::exception& error) {
    return fail({ErrorCode::kInput, error.what()});
  }
}

}  // namespace landfall::sdl
