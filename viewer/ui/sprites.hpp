// Discs and rings as tinted pieces of the font's texture: four corners each in place of some forty, which is
// what makes a map of thousands of balls cheap to paint in software.
#pragma once

#include <array>
#include <optional>

#include <imgui.h>

namespace landfall::ui {

class Sprites {
 public:
  // Before the atlas is built: room for each size, at so many pixels a unit.
  void reserve(ImFontAtlas& atlas, float scale);
  // After it was built, before it is uploaded.
  void fill(ImFontAtlas& atlas);

  // False where no sprite comes near enough in size, or in the ring's width: then draw it as a circle.
  bool disc(ImDrawList& list, ImVec2 at, float radius, ImU32 colour) const;
  bool ring(ImDrawList& list, ImVec2 at, float radius, float width, ImU32 colour) const;

 private:
  struct Sprite {
    int rect = -1;
    float radius = 0;  // pixels of the texture
    float width = 0;   // of the ring; 0: a disc
    float half = 0;    // half of the square
    ImVec2 low, high;  // in the texture, 0 to 1
  };
  static constexpr std::size_t kSizes = 7;
  const Sprite* nearest(const std::array<Sprite, kSizes>& sprites, float radius) const;
  void draw(ImDrawList& list, const Sprite& sprite, ImVec2 at, float radius, ImU32 colour) const;

  std::array<Sprite, kSizes> discs_, rings_;
  float scale_ = 0;
  ImFontAtlas* atlas_ = nullptr;
};

}  // namespace landfall::ui
