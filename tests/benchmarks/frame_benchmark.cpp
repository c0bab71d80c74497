// frame_benchmark: a frame of 2,500 balls with marks, needs, selection and groups: the scene anew, its
// painting into ImGui's lists, a whole window's frame as it is drawn when nothing of the map changed, and
// what comes before the first frame of a known board. DESIGN.md section 10 has the goals: 1 ms a frame, 150
// ms.
#include <cstdlib>
#include <filesystem>

#include <benchmark/benchmark.h>
#include <imgui.h>

#include "tests/benchmarks/wired_board.hpp"
#include "viewer/app/session.hpp"
#include "viewer/ui/window.hpp"

using namespace landfall;
using landfall::testing::wired;

namespace {

std::filesystem::path bench_file() {
  return std::filesystem::temp_directory_path() / "landfall-frame-benchmark.sqlite";
}

// A session with 2,500 balls on the map, 200 of them marked, 300 sound, one selected.
app::Session& session() {
  static app::Session own = [] {
    std::filesystem::remove(bench_file());
    app::Session s = std::move(app::start_session(bench_file())).value();
    const auto id = s.bench->keep_board("large", wired(50, 50), {{}, {}, app::now_utc()});
    app::apply(s, app::OpenPart{*id, "U1"});
    app::apply(s, app::NewJob{});
    std::vector<Index> torn;
    std::vector<Index> sound;
    for (std::size_t i = 0; i < 200; ++i) torn.push_back(s.package.sites[i * 7].pin);
    for (std::size_t i = 0; i < 300; ++i) sound.push_back(s.package.sites[i * 7 + 3].pin);
    app::apply(s, app::MarkMany{torn, MarkKind::kTorn});
    app::apply(s, app::MarkMany{sound, MarkKind::kSound});
    app::apply(s, app::SelectPin{s.package.sites[1001].pin});
    return s;
  }();
  return own;
}

// ImGui without a window or a display.
struct Headless {
  Headless() {
    ImGui::CreateContext();
    ImGuiIO& io = ImGui::GetIO();
    io.IniFilename = nullptr;
    io.DisplaySize = {1280, 800};
    io.DeltaTime = 1.0F / 60;
    io.BackendFlags |= ImGuiBackendFlags_RendererHasVtxOffset;
    fonts = ui::load_fonts(1, {});
    unsigned char* pixels = nullptr;
    int width = 0;
    int height = 0;
    io.Fonts->GetTexDataAsAlpha8(&pixels, &width, &height);
    ui::set_style(scene::theme(scene::ThemeName::kDay));
  }
  ui::Fonts fonts;
  ui::WindowState state;
};

Headless& headless() {
  static Headless own;
  return own;
}

scene::MapInput map_input(const app::Session& s) {
  scene::MapInput in;
  in.board = s.board.get();
  in.package = &s.package;
  in.job = &*s.job;
  in.assessment = &s.assessment;
  in.selected = s.selected;
  return in;
}

void scene_of_2500_balls(benchmark::State& state) {
  const scene::MapInput in = map_input(session());
  for (auto _ : state) {
    scene::Canvas canvas(1);
    scene::MapView(in, {216, 92, 712, 644}).draw(canvas);
    benchmark::DoNotOptimize(canvas.shapes().data());
  }
}
BENCHMARK(scene_of_2500_balls)->Unit(benchmark::kMillisecond);

void frame(bool anew) {
  Headless& h = headless();
  if (anew) ++session().revision;
  ImGui::NewFrame();
  benchmark::DoNotOptimize(ui::draw_window(session(), h.state, h.fonts, 1280, 800));
  ImGui::Render();
}

void frame_of_2500_balls_unchanged(benchmark::State& state) {
  headless();
  frame(true);
  for (auto _ : state) frame(false);
  state.counters["vertices"] = ImGui::GetDrawData()->TotalVtxCount;
}
BENCHMARK(frame_of_2500_balls_unchanged)->Unit(benchmark::kMillisecond);

void frame_of_2500_balls_changed(benchmark::State& state) {
  headless();
  for (auto _ : state) frame(true);
}
BENCHMARK(frame_of_2500_balls_changed)->Unit(benchmark::kMillisecond);

void open_a_known_board(benchmark::State& state) {
  session();
  for (auto _ : state) {
    app::Session s = std::move(app::start_session(bench_file())).value();
    app::apply(s, app::OpenJob{1});
    benchmark::DoNotOptimize(s.assessment.wires);
  }
}
BENCHMARK(open_a_known_board)->Unit(benchmark::kMillisecond);

void load_fonts_at(benchmark::State& state, float scale) {
  for (auto _ : state) {
    ImFontAtlas atlas;
    ImGuiContext* before = ImGui::GetCurrentContext();
    ImGuiContext* own = ImGui::CreateContext(&atlas);
    ImGui::SetCurrentContext(own);
    ui::load_fonts(scale, {});
    unsigned char* pixels = nullptr;
    int width = 0;
    int height = 0;
    atlas.GetTexDataAsAlpha8(&pixels, &width, &height);
    benchmark::DoNotOptimize(pixels);
    ImGui::DestroyContext(own);
    ImGui::SetCurrentContext(before);
  }
}
BENCHMARK_CAPTURE(load_fonts_at, 100_percent, 1.0F)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(load_fonts_at, 200_percent, 2.0F)->Unit(benchmark::kMillisecond);

}  // namespace

BENCHMARK_MAIN();
