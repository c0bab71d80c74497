#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "netdb/model/counted.hpp"
#include "viewer/scene/look.hpp"
#include "viewer/scene/photo_scene.hpp"
#include "viewer/ui/panel.hpp"
#include "viewer/ui/photo_layer.hpp"

// The job's photos in the map's place: the picture, beside it the map to match it with.

namespace landfall::ui {
namespace {

constexpr double kPhotoHead = 44;
constexpr double kPhotoFoot = 76;

// Between the photo's pixels and the screen.
struct PhotoView {
  scene::Rect area;
  double scale = 1;
  scene::P corner;  // of the picture's top left pixel
  [[nodiscard]] scene::P to_screen(photo::Pixel pixel) const {
    return corner + scene::P{pixel.x, pixel.y} * scale;
  }
  [[nodiscard]] photo::Pixel to_pixel(scene::P at) const {
    return {(at.x - corner.x) / scale, (at.y - corner.y) / scale};
  }
};

PhotoView view_of(const PhotoPanelState& state, const Photo& photo, scene::Rect area) {
  PhotoView view;
  view.area = area;
  const double whole = std::min(area.width / photo.width, area.height / photo.height);
  view.scale = whole * state.zoom;
  view.corner = area.middle() + (state.pan - scene::P{photo.width / 2.0, photo.height / 2.0}) * view.scale;
  return view;
}

void zoom_about(PhotoPanelState& state, const Photo& photo, const PhotoView& view, scene::P at, double by) {
  const photo::Pixel held = view.to_pixel(at);
  state.zoom = std::clamp(state.zoom * by, 1.0, 40.0);
  const scene::P moved = view_of(state, photo, view.area).to_screen(held);
  const double scale = view_of(state, photo, view.area).scale;
  state.pan = state.zoom <= 1.0001 ? scene::P{} : state.pan + (at - moved) * (1 / scale);
}

void draw_photo_head(Frame& f, double width) {
  const app::PhotoDesk& desk = *f.session.photos;
  const app::LaidPhoto* laid = desk.shown();
  ImGui::SetCursorPos({12, 9});
  text(f.fonts.title, f.theme.ink, laid == nullptr ? "PHOTO" : fmt::format("PHOTO {}", laid->photo.number));
  if (laid == nullptr) return;
  const bool several = desk.photos.size() > 1;
  const float buttons = several ? 320 : 190;
  ImGui::SetCursorPos({130, 5});
  const float room = static_cast<float>(width) - 142 - buttons;
  std::string says = laid->says;
  // How far it is off must not be what is cut.
  if (laid->fit && width_of(f.fonts.body, says) > room)
    says = fmt::format("laid by {}, {:.0f} um off", count_of(laid->photo.matches.size(), "land"),
                       laid->fit->rms_um);
  cut_text(f.fonts.body, f.theme.ink, says, room);
  ImGui::SetCursorPos({130, 25});
  cut_text(f.fonts.note, laid->mirrored ? f.theme.warn : f.theme.ink2,
           laid->mirrored
               ? "a mirror picture: it is laid turned over"
               : fmt::format("{} of {}; {} side{}{}", desk.at + 1, desk.photos.size(), word(laid->photo.side),
                             laid->photo.note.empty() ? "" : "; ", laid->photo.note),
           static_cast<float>(width) - 142 - buttons);
  ImGui::SetCursorPos({static_cast<float>(width) - buttons - 8, 6});
  if (several) {
    if (button(f, "next photo", "Next photo", "", {124, 32})) f.action = app::NextPhoto{};
    ImGui::SameLine(0, 6);
  }
  if (button(f, "under", "Under the map", key_of(f, app::Command::kPhotoUnder), {184, 32},
             laid->fit.has_value()))
    f.action = app::PhotoUnder{};
}

void draw_lands_over(Frame& f, const PhotoView& view) {
  const app::PhotoDesk& desk = *f.session.photos;
  scene::PhotoInput in;
  in.board = f.session.board.get();
  in.job = &*f.session.job;
  app::LaidPhoto laid = *desk.shown();
  laid.photo.matches = desk.matches;
  in.laid = &laid;
  in.lands = &desk.lands;
  in.scale = view.scale;
  in.theme = static_cast<scene::ThemeName>(f.session.preferences.theme);
  std::vector<scene::Shape> shapes = scene::photo_shapes(in);
  for (scene::Shape& shape : shapes) {
    shape.at = shape.at + view.corner;
    for (scene::P& point : shape.points) point = point + view.corner;
  }
  paint(*ImGui::GetWindowDrawList(), f.fonts, faded(shapes, 0, f.state.photo.strength, view.area));
}

// The selected land, and the click that awaits its land: never faded.
void draw_signs(const Frame& f, const PhotoView& view) {
  const app::PhotoDesk& desk = *f.session.photos;
  scene::Canvas canvas(f.theme.stroke);
  for (const app::SeenLand& land : desk.lands) {
    if (land.pin != f.session.selected) continue;
    const scene::P at = view.to_screen(land.middle);
    const double radius = std::max(10.0, land.radius_px * view.scale * 1.5);
    canvas.ring(at, radius, 5, {0, 0, 0, 220});
    canvas.ring(at, radius, 2.5, {255, 255, 255, 255});
  }
  if (desk.clicked) {
    const scene::P at = view.to_screen(*desk.clicked);
    for (const auto& [width, hue] : {std::pair{5.0, scene::Colour{0, 0, 0, 220}}, {2.0, f.theme.pick}}) {
      canvas.line(at - scene::P{14, 0}, at + scene::P{14, 0}, width, hue);
      canvas.line(at - scene::P{0, 14}, at + scene::P{0, 14}, width, hue);
    }
  }
  draw(f, canvas);
}

// A proposal is brought to the middle, large enough to be looked at.
void bring_proposal(Frame& f, const Photo& photo, scene::Rect area) {
  const app::PhotoDesk& desk = *f.session.photos;
  if (!desk.proposals || f.session.selected == f.state.photo.brought) return;
  f.state.photo.brought = f.session.selected;
  const auto land = std::find_if(desk.lands.begin(), desk.lands.end(),
                                 [&](const app::SeenLand& one) { return one.pin == f.session.selected; });
  if (land == desk.lands.end() || land->radius_px <= 0) return;
  constexpr double kLooked = 22;  // pixels of the screen from the land's middle to its rim
  const double now = view_of(f.state.photo, photo, area).scale * land->radius_px;
  f.state.photo.zoom = std::clamp(f.state.photo.zoom * std::max(1.0, kLooked / now), 1.0, 40.0);
  f.state.photo.pan =
      scene::P{photo.width / 2.0, photo.height / 2.0} - scene::P{land->middle.x, land->middle.y};
}

// A click begins a match, or goes to the land below it; with a mark key held it marks that land.
void click_picture(Frame& f, photo::Pixel pixel) {
  const app::PhotoDesk& desk = *f.session.photos;
  if (!desk.shown()->fit || (f.state.photo.matching && !f.state.held)) {
    f.state.photo.matching = true;
    f.action = app::ClickPhoto{pixel};
    return;
  }
  for (const app::SeenLand& land : desk.lands) {
    if (std::hypot(land.middle.x - pixel.x, land.middle.y - pixel.y) > 1.4 * land.radius_px) continue;
    if (f.state.held) {
      f.state.held->used = true;
      f.state.same_again = f.state.held->kind;
      f.action = app::MarkMany{{land.pin}, f.state.held->kind};
    } else {
      f.action = app::SelectPin{land.pin};
    }
    return;
  }
}

void draw_picture(Frame& f, scene::Rect area) {
  const app::PhotoDesk& desk = *f.session.photos;
  const Photo& photo = desk.shown()->photo;
  bring_proposal(f, photo, area);
  const PhotoView view = view_of(f.state.photo, photo, area);
  ImDrawList& list = *ImGui::GetWindowDrawList();
  const ImVec2 low{static_cast<float>(area.x), static_cast<float>(area.y)};
  const ImVec2 high{static_cast<float>(area.x + area.width), static_cast<float>(area.y + area.height)};
  list.PushClipRect(low, high, true);
  list.AddRectFilled(low, high, packed(f.theme.ground));
  const scene::P end = view.to_screen({static_cast<double>(photo.width), static_cast<double>(photo.height)});
  if (f.state.photo.texture != nullptr) {
    list.AddImage(f.state.photo.texture,
                  {static_cast<float>(view.corner.x), static_cast<float>(view.corner.y)},
                  {static_cast<float>(end.x), static_cast<float>(end.y)});
  }
  if (!f.state.photo.alone) draw_lands_over(f, view);
  draw_signs(f, view);
  list.PopClipRect();
  ImGui::SetCursorScreenPos(low);
  ImGui::InvisibleButton("picture", {high.x - low.x, high.y - low.y},
                         ImGuiButtonFlags_MouseButtonLeft | ImGuiButtonFlags_MouseButtonRight |
                             ImGuiButtonFlags_MouseButtonMiddle);
  const ImGuiIO& io = ImGui::GetIO();
  const scene::P at{io.MousePos.x, io.MousePos.y};
  if (ImGui::IsItemHovered() && io.MouseWheel != 0)
    zoom_about(f.state.photo, photo, view, at, io.MouseWheel > 0 ? 1.25 : 0.8);
  const bool pan = ImGui::IsMouseDragging(1, 2) || ImGui::IsMouseDragging(2, 2);
  if (ImGui::IsItemActive() && pan)
    f.state.photo.pan = f.state.photo.pan + scene::P{io.MouseDelta.x, io.MouseDelta.y} * (1 / view.scale);
  if (ImGui::IsItemHovered() && ImGui::IsMouseClicked(0)) click_picture(f, view.to_pixel(at));
}

// The map to choose the land on.
void draw_matching_map(Frame& f, scene::Rect area) {
  MapFlags flags;
  const scene::MapInput in = map_input(f.session, flags);
  const scene::MapView map(in, area);
  f.state.map_area = area;
  f.state.drawn.clear();
  scene::Canvas canvas(f.theme.stroke);
  map.draw(canvas);
  ImDrawList& list = *ImGui::GetWindowDrawList();
  const ImVec2 low{static_cast<float>(area.x), static_cast<float>(area.y)};
  const ImVec2 high{static_cast<float>(area.x + area.width), static_cast<float>(area.y + area.height)};
  list.PushClipRect(low, high, true);
  draw(f, canvas);
  list.PopClipRect();
  ImGui::SetCursorScreenPos(low);
  ImGui::InvisibleButton("lands", {high.x - low.x, high.y - low.y});
  const ImGuiIO& io = ImGui::GetIO();
  const scene::P at{io.MousePos.x, io.MousePos.y};
  f.state.pointed = kNone;
  if (!ImGui::IsItemHovered()) return;
  if (const auto site = map.site_at(at)) f.state.pointed = f.session.package.sites[*site].pin;
  if (io.MouseWheel != 0)
    f.action = app::SetLook{scene::zoomed(in, area, f.session.look, at, io.MouseWheel > 0 ? 1.25 : 0.8)};
  if (!ImGui::IsMouseClicked(0) || f.state.pointed == kNone) return;
  if (f.session.photos->clicked) {
    f.action = app::MatchLand{f.state.pointed};
  } else {
    f.action = app::SelectPin{f.state.pointed};
  }
}

// What to do next, in one line.
std::string next_step(const Frame& f) {
  const app::PhotoDesk& desk = *f.session.photos;
  if (desk.clicked) return "Now click the same land on the map beside it.";
  if (!f.state.photo.matching && desk.proposals && !desk.proposals->list.empty()) {
    const app::Proposal& one = desk.proposals->list[desk.proposal];
    return fmt::format("{} of {}: {}, {}. Mark it with 1 to 6, or pass.", desk.proposal + 1,
                       desk.proposals->list.size(), one.site, one.why);
  }
  if (f.state.photo.matching || !desk.shown()->fit)
    return fmt::format("{} matched. Click the middle of a land in the picture; three or four, far apart.",
                       desk.matches.size());
  return "Click a land to see its sheet; 1 to 6 mark it. Hold H to see the picture alone.";
}

void draw_photo_foot(Frame& f, double width) {
  const app::PhotoDesk& desk = *f.session.photos;
  cut_text(f.fonts.bold, f.theme.ink, next_step(f), static_cast<float>(width) - 24);
  ImGui::SetCursorPosX(12);
  const auto command = [&](const char* label, app::Command what, float wide) {
    if (button(f, label, label, key_of(f, what), {wide, 32}))
      f.action = run_command(f.session, f.state, what);
    ImGui::SameLine(0, 6);
  };
  if (f.state.photo.matching || !desk.shown()->fit) {
    command("Take back", app::Command::kTakeBackMatch, 176);
    if (desk.shown()->fit && button(f, "matched", "Matching done", "", {148, 32}, true))
      f.state.photo.matching = false;
  } else if (button(f, "match more", "Match more", "", {132, 32})) {
    f.state.photo.matching = true;
  }
  ImGui::SameLine(0, 6);
  if (!f.state.photo.matching && desk.proposals && !desk.proposals->list.empty()) {
    command("Pass", app::Command::kNextProposal, 96);
    command("Go back", app::Command::kPreviousProposal, 150);
  } else if (desk.shown()->fit) {
    if (button(f, "propose", "Propose damage", "", {158, 32})) {
      f.state.photo.matching = false;
      f.action = app::Propose{};
    }
    ImGui::SameLine(0, 6);
  }
  // The figure and its keys stand behind the slider; the label gives way first.
  constexpr float kFigure = 124;
  constexpr float kLabel = 88;
  ImGui::SameLine(0, 14);
  const float room = static_cast<float>(width) - ImGui::GetCursorPosX() - kFigure;
  if (room < 50) return;
  if (room >= kLabel + 70) {
    ImGui::SetCursorPosY(ImGui::GetCursorPosY() + 6);
    text(f.fonts.note, f.theme.ink2, "map over it");
    ImGui::SameLine(0, 8);
    ImGui::SetCursorPosY(ImGui::GetCursorPosY() - 6);
    draw_strength(f, std::min(130.0F, room - kLabel));
  } else {
    draw_strength(f, std::min(130.0F, room));
  }
}

}  // namespace

void draw_strength(Frame& f, float width) {
  ImGui::SetNextItemWidth(width);
  int percent = static_cast<int>(std::lround(f.state.photo.strength * 100));
  ImGui::PushStyleColor(ImGuiCol_SliderGrab, packed(f.theme.ink2));
  ImGui::PushStyleColor(ImGuiCol_SliderGrabActive, packed(f.theme.ink));
  // The figure stands beside it: the grab must be seen.
  if (ImGui::SliderInt("##strength", &percent, 0, 100, "", ImGuiSliderFlags_AlwaysClamp))
    f.state.photo.strength = percent / 100.0;
  ImGui::PopStyleColor(2);
  ImGui::SameLine(0, 8);
  text(f.fonts.note, f.theme.ink,
       fmt::format("{} %  ({} {})", percent, key_of(f, app::Command::kFainter),
                   key_of(f, app::Command::kStronger)));
}

void draw_photos(Frame& f, scene::Rect place) {
  const Pane pane("photos", place, f.theme.sheet);
  if (!f.session.photos) return;
  draw_photo_head(f, place.width);
  if (f.session.photos->shown() == nullptr) {
    ImGui::SetCursorPos({20, 70});
    text(f.fonts.bold, f.theme.ink, "Drop a PNG or JPEG picture of the board on this window.");
    ImGui::SetCursorPosX(20);
    wrapped(f.fonts.body, f.theme.ink2,
            "Its pixels are kept with the job, and nothing else: no place, time, camera or file name.");
    ImGui::SetCursorPos({20, ImGui::GetCursorPosY() + 10});
    if (button(f, "choose picture", "Choose a picture", "", {190, 36}, true)) f.state.wants_picker = true;
    return;
  }
  const double height = place.height - kPhotoHead - kPhotoFoot;
  const scene::Rect area{place.x + 8, place.y + kPhotoHead, place.width - 16, height};
  if (place.width > 620) {
    const double left = std::floor(area.width * 0.6);
    draw_picture(f, {area.x, area.y, left - 8, area.height});
    draw_matching_map(f, {area.x + left, area.y, area.width - left, area.height});
  } else {
    const double upper = std::floor(area.height * 0.55);
    draw_picture(f, {area.x, area.y, area.width, upper - 8});
    draw_matching_map(f, {area.x, area.y + upper, area.width, area.height - upper});
  }
  ImGui::SetCursorPos({12, static_cast<float>(place.height - kPhotoFoot) + 8});
  draw_photo_foot(f, place.width);
}

}  // namespace landfall::ui
