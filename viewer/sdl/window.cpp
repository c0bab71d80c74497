#include "viewer/sdl/window.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <sstream>

#include <backends/imgui_impl_sdl.h>
#include <fmt/format.h>
#include <imgui.h>

#include "viewer/sdl/painter.hpp"
#include "viewer/sdl/picker.hpp"

namespace landfall::sdl {
namespace {

constexpr int kSettle = 3;      // ImGui needs two frames to settle
constexpr int kIdleMs = 500;    // the caret blinks, and another window may have marked something
constexpr int kImportMs = 250;  // the scale bar of an import is redrawn four times a second

// Steps that people know from their desktop's settings.
double scale_of_screen(SDL_Window* window) {
  float dpi = 0;
  const int display = SDL_GetWindowDisplayIndex(window);
  if (display < 0 || SDL_GetDisplayDPI(display, &dpi, nullptr, nullptr) != 0) return 1;
  if (!(dpi >= 50 && dpi <= 600)) return 1;
  if (dpi >= 175) return 2;
  if (dpi >= 140) return 1.5;
  if (dpi >= 118) return 1.25;
  return 1;
}

}  // namespace

Window::Window(app::Session session, WindowOptions options)
    : session_(std::move(session)), options_(std::move(options)), saved_(session_.preferences) {
  std::ifstream keys(options_.config / "keys", std::ios::binary);
  if (!keys) return;
  std::ostringstream text;
  text << keys.rdbuf();
  Diagnostics log;
  state_.keys.read(text.str(), log);
  for (const Diagnostic& d : log.entries()) {
    app::apply(session_, app::Complain{fmt::format("{}:{}: {}", (options_.config / "keys").string(), d.line,
                                                   d.message)});
  }
}

Window::~Window() {
  if (window_) SDL_HideWindow(window_.get());
  app::stop_work(session_);
  save_preferences();
  if (ImGui::GetCurrentContext() != nullptr) {
    ImGui_ImplSDL2_Shutdown();
    ImGui::DestroyContext();
  }
  photo_texture_.reset();
  texture_.reset();
  renderer_.reset();
  window_.reset();
  SDL_Quit();
}

bool Window::open() {
  // Else the software renderer presents through OpenGL, at three times the cost.
  SDL_SetHint(SDL_HINT_FRAMEBUFFER_ACCELERATION, "0");
  if (!options_.renderer.empty()) SDL_SetHint(SDL_HINT_RENDER_DRIVER, options_.renderer.c_str());
  if (SDL_Init(SDL_INIT_VIDEO) != 0) return false;
  // Never larger than the screen: its head and its foot must be seen.
  SDL_Rect screen{0, 0, session_.preferences.width, session_.preferences.height};
  SDL_GetDisplayUsableBounds(0, &screen);
  window_.reset(SDL_CreateWindow("Landfall", SDL_WINDOWPOS_CENTERED, SDL_WINDOWPOS_CENTERED,
                                 std::min(session_.preferences.width, screen.w),
                                 std::min(session_.preferences.height, screen.h),
                                 SDL_WINDOW_RESIZABLE | SDL_WINDOW_ALLOW_HIGHDPI));
  if (!window_) return false;
  // A still picture of tinted sprites: software paints it in some 10 ms, and its first frame comes at a third
  // of the time that OpenGL takes to start. Who has a very large screen can ask for another.
  const bool software = options_.renderer.empty() || options_.renderer == "software";
  renderer_.reset(
      SDL_CreateRenderer(window_.get(), -1, software ? SDL_RENDERER_SOFTWARE : SDL_RENDERER_ACCELERATED));
  if (!renderer_)
    renderer_.reset(
        SDL_CreateRenderer(window_.get(), -1, software ? SDL_RENDERER_ACCELERATED : SDL_RENDERER_SOFTWARE));
  if (!renderer_) return false;
  if (options_.scale <= 0) options_.scale = scale_of_screen(window_.get());
  wake_event_ = SDL_RegisterEvents(1);
  session_.wake = [type = wake_event_] {
    SDL_Event event{};
    event.type = type;
    SDL_PushEvent(&event);
  };
  ImGui::CreateContext();
  ImGuiIO& io = ImGui::GetIO();
  io.IniFilename = nullptr;
  io.BackendFlags |= ImGuiBackendFlags_RendererHasVtxOffset;
  ImGui_ImplSDL2_InitForSDLRenderer(window_.get());
  extra_ = letters();
  letters_revision_ = session_.revision;
  prepare_frame();
  return texture_ != nullptr;
}

bool Window::load_fonts(double scale) {
  ImGuiIO& io = ImGui::GetIO();
  io.Fonts->Clear();
  fonts_ = ui::load_fonts(static_cast<float>(scale), extra_);
  io.FontGlobalScale = static_cast<float>(1 / scale);
  std::unique_ptr<SDL_Texture, Destroy> texture(upload_fonts(renderer_.get()));
  if (!texture) return false;
  texture_ = std::move(texture);
  font_scale_ = scale;
  return true;
}

// Letters beyond the standard ranges that something on the screen may show.
std::set<ImWchar> Window::letters() const {
  std::set<ImWchar> extra;
  const auto take = [&](const std::string& text) { ui::collect_letters(text, extra); };
  for (const store::BoardInfo& board : session_.boards) take(board.name);
  for (const Job& job : session_.jobs) take(job.title);
  for (const std::string* typed : {&session_.find_text, &state_.field, &state_.field2, &state_.field3,
                                   &state_.field4, &state_.kept_field.typed, &state_.shelf_note})
    take(*typed);
  take(session_.message);
  if (session_.job) {
    take(session_.job->title);
    for (const Mark& mark : session_.job->marks) take(mark.note);
  }
  if (session_.intake) {
    for (const app::IntakeRow& row : session_.intake->rows) take(row.answer);
  }
  if (session_.shelf) {
    for (const auto& row : session_.shelf->rows) take(row.shelved.note);
  }
  if (session_.warnings) {
    for (const store::SourceFile& source : session_.warnings->sources) {
      take(source.name);
      for (const Diagnostic& d : source.diagnostics) take(d.message);
    }
  }
  for (const std::string& file : session_.import_files) take(file);
  if (!session_.board) return extra;
  const Board& board = session_.board->board();
  for (const Net& net : board.nets) take(net.name);
  for (const Part& part : board.parts) take(part.value);
  for (const Pin& pin : board.pins) take(pin.function);
  return extra;
}

void Window::prepare_frame() {
  ImGui_ImplSDL2_NewFrame();
  ImGuiIO& io = ImGui::GetIO();
  int pixels = 0;
  int pixels_high = 0;
  int units = 1;
  int units_high = 1;
  SDL_GetRendererOutputSize(renderer_.get(), &pixels, &pixels_high);
  SDL_GetWindowSize(window_.get(), &units, &units_high);
  // Text size enlarges all: the layout goes by effective pixels.
  const double own = static_cast<double>(pixels) / std::max(units, 1);
  const double larger = std::max(1.0, options_.scale / own) * session_.preferences.text_percent / 100;
  const double scale = own * larger;
  io.DisplaySize = {static_cast<float>(units / larger), static_cast<float>(units_high / larger)};
  io.DisplayFramebufferScale = {static_cast<float>(scale), static_cast<float>(scale)};
  if (button_at_) io.MousePos = {static_cast<float>(button_at_->x), static_cast<float>(button_at_->y)};
  button_at_.reset();
  if (io.MousePos.x > -1e6F)
    io.MousePos = {static_cast<float>(io.MousePos.x / larger), static_cast<float>(io.MousePos.y / larger)};
  io.KeyCtrl = ctrl_;
  io.KeyShift = shift_;
  if (letters_revision_ != session_.revision || io.WantTextInput) {
    letters_revision_ = session_.revision;
    std::set<ImWchar> now = letters();
    if (!std::includes(extra_.begin(), extra_.end(), now.begin(), now.end())) {
      extra_.insert(now.begin(), now.end());
      font_scale_ = 0;
    }
  }
  if (font_scale_ != scale) load_fonts(scale);
  if (theme_ != session_.preferences.theme) {
    theme_ = session_.preferences.theme;
    ui::set_style(scene::theme(static_cast<scene::ThemeName>(theme_)));
  }
}

void Window::run() {
  int redraws = kSettle;
  bool open = true;
  while (open) {
    SDL_Event event;
    const int wait = session_.import ? kImportMs : kIdleMs;
    const bool have = redraws > 0 ? SDL_PollEvent(&event) == 1 : SDL_WaitEventTimeout(&event, wait) == 1;
    if (have) {
      woken_ = std::chrono::steady_clock::now();
      open = take_events(event);
      redraws = kSettle;
    } else if (redraws == 0) {
      idle(redraws);
    }
    if (redraws == 0 || !open) continue;
    frame();
    // What an action brought to the screen takes frames of its own to settle: the caret of a form, bars that
    // go.
    redraws = acted_ ? kSettle : redraws - 1;
  }
}

void Window::idle(int& redraws) {
  const auto before = session_.seen_version;
  const bool imported = session_.import != nullptr;
  app::apply(session_, app::Refresh{});
  if (session_.seen_version != before) print_message();
  if (session_.import || session_.bench_page) app::apply(session_, app::PollWork{});
  if (session_.import || ImGui::GetIO().WantTextInput) redraws = 1;
  if (session_.seen_version != before || imported != (session_.import != nullptr)) redraws = kSettle;
  save_preferences();
}

void Window::save_preferences() {
  if (session_.preferences == saved_ || options_.config.empty()) return;
  app::save_preferences(options_.config / "window", session_.preferences);
  saved_ = session_.preferences;
}

// At most one key, button or text event a frame: ImGui keeps states, not a queue, and would miss changes.
bool Window::take_events(SDL_Event event) {
  do {
    ImGui_ImplSDL2_ProcessEvent(&event);
    if (event.type == SDL_QUIT) return false;
    if (event.type == wake_event_) take(app::PollWork{});
    take_drop(event);
    if (event.type == SDL_WINDOWEVENT && event.window.event == SDL_WINDOWEVENT_SIZE_CHANGED && !full_screen_)
      SDL_GetWindowSize(window_.get(), &session_.preferences.width, &session_.preferences.height);
    // The event's own place, not the newest: on a slow screen the hand has moved on.
    if (event.type == SDL_MOUSEBUTTONDOWN || event.type == SDL_MOUSEBUTTONUP)
      button_at_ = SDL_Point{event.button.x, event.button.y};
    const bool key = event.type == SDL_KEYDOWN || event.type == SDL_KEYUP;
    if (key) {
      // The event's own modifiers, not the newest state.
      const int mod = event.key.keysym.mod;
      ctrl_ = (mod & KMOD_CTRL) != 0;
      shift_ = (mod & KMOD_SHIFT) != 0;
      state_.num_lock = (mod & KMOD_NUM) != 0;
    }
    if (key || event.type == SDL_MOUSEBUTTONDOWN || event.type == SDL_MOUSEBUTTONUP ||
        event.type == SDL_TEXTINPUT)
      return true;
  } while (SDL_PollEvent(&event) == 1);
  return true;
}

// Files dropped together describe one board.
void Window::take_drop(const SDL_Event& event) {
  if (event.type == SDL_DROPFILE && event.drop.file != nullptr) {
    dropped_.emplace_back(event.drop.file);
    SDL_free(event.drop.file);
  }
  if (event.type != SDL_DROPCOMPLETE || dropped_.empty()) return;
  state_.form = ui::Form::kNone;
  take(app::ImportFiles{std::move(dropped_), std::nullopt});
  dropped_.clear();
}

// For tests and logs: what was done, once it is kept.
void Window::print_message() const {
  if (session_.message.empty()) return;
  fmt::print("{}\n", session_.message);
  std::fflush(stdout);
}

void Window::take(const app::Action& action) {
  app::apply(session_, action);
  print_message();
  if (session_.to_copy.empty()) return;
  SDL_SetClipboardText(session_.to_copy.c_str());
  session_.to_copy.clear();
}

// What the panels wish of the program around them.
void Window::take_wishes() {
  if (state_.wants_full_screen) {
    state_.wants_full_screen = false;
    full_screen_ = !full_screen_;
    SDL_SetWindowFullscreen(window_.get(), full_screen_ ? SDL_WINDOW_FULLSCREEN_DESKTOP : 0);
  }
  if (state_.wants_picker) {
    state_.wants_picker = false;
    const std::string helper = picker_helper();
    if (helper.empty()) {
      take(app::Complain{"There is no file chooser here (zenity or kdialog): type the path."});
    } else {
      pick_files(helper, [mail = mail_, wake = session_.wake](std::vector<std::filesystem::path> files) {
        const std::lock_guard lock(mail->mutex);
        mail->picked = std::move(files);
        wake();
      });
    }
  }
  std::vector<std::filesystem::path> picked;
  {
    const std::lock_guard lock(mail_->mutex);
    picked.swap(mail_->picked);
  }
  if (picked.empty()) return;
  state_.form = ui::Form::kNone;
  take(app::ImportFiles{std::move(picked), state_.into});
}

// The answer to a key or click is on the screen with the frame after the one that took it.
void Window::print_times() const {
  using std::chrono::duration;
  const auto now = std::chrono::steady_clock::now();
  if (first_)
    fmt::print("first frame after {:.0f} ms\n", duration<double, std::milli>(now - options_.started).count());
  if (acted_)
    fmt::print("answer drawn after {:.1f} ms\n", duration<double, std::milli>(now - woken_).count());
  std::fflush(stdout);
}

// The session's picture as a texture, anew when it is another.
void Window::upload_photo() {
  const auto wanted = session_.photos ? session_.photos->picture : nullptr;
  if (wanted == photo_shown_) return;
  photo_shown_ = wanted;
  photo_texture_.reset();
  state_.photo.texture = nullptr;
  state_.photo.zoom = 1;
  state_.photo.pan = {};
  state_.photo.brought = kNone;
  state_.photo.matching = session_.photos && session_.photos->matches.size() < 3;
  if (!wanted) return;
  photo_texture_.reset(SDL_CreateTexture(renderer_.get(), SDL_PIXELFORMAT_RGB24, SDL_TEXTUREACCESS_STATIC,
                                         wanted->width, wanted->height));
  if (!photo_texture_) return;
  SDL_UpdateTexture(photo_texture_.get(), nullptr, wanted->rgb.data(), wanted->width * 3);
  SDL_SetTextureScaleMode(photo_texture_.get(), SDL_ScaleModeLinear);
  state_.photo.texture = photo_texture_.get();
}

void Window::frame() {
  prepare_frame();
  upload_photo();
  ImGui::NewFrame();
  const ImGuiIO& io = ImGui::GetIO();
  const auto action = ui::draw_window(session_, state_, fonts_, io.DisplaySize.x, io.DisplaySize.y);
  ImGui::Render();
  const scene::Colour ground = scene::theme(static_cast<scene::ThemeName>(session_.preferences.theme)).sheet;
  SDL_SetRenderDrawColor(renderer_.get(), ground.r, ground.g, ground.b, 255);
  SDL_RenderClear(renderer_.get());
  paint_frame(renderer_.get());
  SDL_RenderPresent(renderer_.get());
  if (options_.timing) print_times();
  first_ = false;
  acted_ = action.has_value();
  if (action) take(*action);
  take_wishes();
}

}  // namespace landfall::sdl
