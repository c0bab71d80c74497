// The window on the screen: SDL's events in, ImGui's triangles out.
#pragma once

#include <chrono>
#include <filesystem>
#include <memory>
#include <mutex>
#include <optional>
#include <set>
#include <vector>

#include <SDL.h>

#include "viewer/app/session.hpp"
#include "viewer/ui/window.hpp"

namespace landfall::sdl {

struct WindowOptions {
  std::filesystem::path config;  // folder of preferences and keys
  std::string renderer;          // SDL's name for one; empty: software; each falls back to the other
  double scale = 0;              // pixels a unit; 0: by the screen's own resolution
  bool timing = false;           // print how long the first frame took, and each answer to a key or click
  std::chrono::steady_clock::time_point started;
};

class Window {
 public:
  Window(app::Session session, WindowOptions options);
  ~Window();
  Window(const Window&) = delete;
  Window& operator=(const Window&) = delete;
  Window(Window&&) = delete;
  Window& operator=(Window&&) = delete;

  // False when there is no screen to open it on; SDL_GetError() says why.
  bool open();
  void run();
  // For tests and for what is to be read at the start.
  void take(const app::Action& action);

 private:
  struct Destroy {
    void operator()(SDL_Window* window) const { SDL_DestroyWindow(window); }
    void operator()(SDL_Renderer* renderer) const { SDL_DestroyRenderer(renderer); }
    void operator()(SDL_Texture* texture) const { SDL_DestroyTexture(texture); }
  };
  // What threads leave for the loop.
  struct Mail {
    std::mutex mutex;
    std::vector<std::filesystem::path> picked;
  };

  bool take_events(SDL_Event event);
  void take_drop(const SDL_Event& event);
  void take_wishes();
  void idle(int& redraws);
  void print_times() const;
  void print_message() const;
  void frame();
  void upload_photo();
  void prepare_frame();
  bool load_fonts(double scale);
  [[nodiscard]] std::set<ImWchar> letters() const;
  void save_preferences();

  app::Session session_;
  WindowOptions options_;
  app::Preferences saved_;
  ui::WindowState state_;
  ui::Fonts fonts_;
  double font_scale_ = 0;
  std::set<ImWchar> extra_;
  std::uint64_t letters_revision_ = 0;
  int theme_ = -1;
  bool ctrl_ = false, shift_ = false;
  std::optional<SDL_Point> button_at_;  // where the button of this frame went down or up
  bool full_screen_ = false;
  bool first_ = true;
  bool acted_ = false;                           // the frame before took an action
  std::chrono::steady_clock::time_point woken_;  // by the last event
  std::vector<std::filesystem::path> dropped_;
  std::shared_ptr<Mail> mail_ = std::make_shared<Mail>();
  Uint32 wake_event_ = 0;
  std::unique_ptr<SDL_Window, Destroy> window_;
  std::unique_ptr<SDL_Renderer, Destroy> renderer_;
  std::unique_ptr<SDL_Texture, Destroy> texture_;
  std::unique_ptr<SDL_Texture, Destroy> photo_texture_;
  std::shared_ptr<const photo::Picture> photo_shown_;  // what is in it
};

}  // namespace landfall::sdl
