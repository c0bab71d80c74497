#include "viewer/ui/sprites.hpp"

#include <algorithm>
#include <cmath>

namespace landfall::ui {
namespace {

// Radii at 100 %; between two, the nearest is scaled by at most a fifth.
constexpr std::array<float, 7> kRadii{3, 4.3F, 6.2F, 8.8F, 12.5F, 18, 26};
constexpr float kMostScaling = 1.22F;

// The rim of the classes' rings: LOOK, "Signs".
float rim(float radius) {
  return std::max(1.2F, 0.15F * radius);
}

}  // namespace

void Sprites::reserve(ImFontAtlas& atlas, float scale) {
  atlas_ = &atlas;
  scale_ = scale;
  for (auto* sprites : {&discs_, &rings_}) {
    for (std::size_t i = 0; i < kSizes; ++i) {
      Sprite& sprite = (*sprites)[i];
      sprite.radius = kRadii[i] * scale;
      sprite.width = sprites == &rings_ ? rim(kRadii[i]) * scale : 0;
      const int side = 2 * static_cast<int>(std::ceil(sprite.radius + sprite.width / 2 + 1.5F));
      sprite.half = static_cast<float>(side) / 2;
      sprite.rect = atlas.AddCustomRectRegular(side, side);
    }
  }
}

void Sprites::fill(ImFontAtlas& atlas) {
  unsigned char* pixels = nullptr;
  int width = 0;
  int height = 0;
  atlas.GetTexDataAsAlpha8(&pixels, &width, &height);
  for (auto* sprites : {&discs_, &rings_}) {
    for (Sprite& sprite : *sprites) {
      const ImFontAtlasCustomRect* rect = atlas.GetCustomRectByIndex(sprite.rect);
      if (rect == nullptr || !rect->IsPacked()) continue;
      for (int y = 0; y < rect->Height; ++y) {
        for (int x = 0; x < rect->Width; ++x) {
          const float far = std::hypot(static_cast<float>(x) + 0.5F - sprite.half,
                                       static_cast<float>(y) + 0.5F - sprite.half);
          float share = std::clamp(sprite.radius + 0.5F - far, 0.0F, 1.0F);
          if (sprite.width > 0)
            share = std::clamp(sprite.width / 2 + 0.5F - std::abs(far - sprite.radius), 0.0F, 1.0F);
          pixels[static_cast<std::ptrdiff_t>(rect->Y + y) * width + rect->X + x] =
              static_cast<unsigned char>(std::lround(share * 255));
        }
      }
      atlas.CalcCustomRectUV(rect, &sprite.low, &sprite.high);
    }
  }
}

const Sprites::Sprite* Sprites::nearest(const std::array<Sprite, kSizes>& sprites, float radius) const {
  if (atlas_ == nullptr) return nullptr;
  const float wanted = radius * scale_;
  const Sprite* best = nullptr;
  for (const Sprite& sprite : sprites) {
    const float ratio = sprite.radius > wanted ? sprite.radius / wanted : wanted / sprite.radius;
    if (sprite.high.x <= sprite.low.x || ratio > kMostScaling) continue;
    if (best == nullptr || std::abs(sprite.radius - wanted) < std::abs(best->radius - wanted)) best = &sprite;
  }
  return best;
}

void Sprites::draw(ImDrawList& list, const Sprite& sprite, ImVec2 at, float radius, ImU32 colour) const {
  const float half = sprite.half * radius / sprite.radius;
  list.AddImage(atlas_->TexID, {at.x - half, at.y - half}, {at.x + half, at.y + half}, sprite.low,
                sprite.high, colour);
}

bool Sprites::disc(ImDrawList& list, ImVec2 at, float radius, ImU32 colour) const {
  const Sprite* sprite = nearest(discs_, radius);
  if (sprite == nullptr) return false;
  draw(list, *sprite, at, radius, colour);
  return true;
}

bool Sprites::ring(ImDrawList& list, ImVec2 at, float radius, float width, ImU32 colour) const {
  const Sprite* sprite = nearest(rings_, radius);
  if (sprite == nullptr) return false;
  const float own = sprite->width / sprite->radius * radius;
  if (std::abs(own - width) > 0.25F) return false;
  draw(list, *sprite, at, radius, colour);
  return true;
}

}  // namespace landfall::ui
