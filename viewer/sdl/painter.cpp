#include "viewer/sdl/painter.hpp"

#include <algorithm>
#include <cmath>

#include <imgui.h>

namespace landfall::sdl {

SDL_Texture* upload_fonts(SDL_Renderer* renderer) {
  ImGuiIO& io = ImGui::GetIO();
  unsigned char* pixels = nullptr;
  int width = 0;
  int height = 0;
  io.Fonts->GetTexDataAsRGBA32(&pixels, &width, &height);
  SDL_Texture* texture =
      SDL_CreateTexture(renderer, SDL_PIXELFORMAT_RGBA32, SDL_TEXTUREACCESS_STATIC, width, height);
  if (texture == nullptr) return nullptr;
  SDL_UpdateTexture(texture, nullptr, pixels, width * 4);
  SDL_SetTextureBlendMode(texture, SDL_BLENDMODE_BLEND);
  SDL_SetTextureScaleMode(texture, SDL_ScaleModeLinear);
  io.Fonts->SetTexID(texture);
  return texture;
}

void paint_frame(SDL_Renderer* renderer) {
  const ImDrawData* data = ImGui::GetDrawData();
  if (data == nullptr) return;
  const ImVec2 scale = ImGui::GetIO().DisplayFramebufferScale;
  SDL_RenderSetScale(renderer, scale.x, scale.y);
  for (int n = 0; n < data->CmdListsCount; ++n) {
    const ImDrawList& list = *data->CmdLists[n];
    for (const ImDrawCmd& command : list.CmdBuffer) {
      if (command.UserCallback != nullptr) {
        if (command.UserCallback != ImDrawCallback_ResetRenderState) command.UserCallback(&list, &command);
        continue;
      }
      const float left = std::max(command.ClipRect.x - data->DisplayPos.x, 0.0F);
      const float top = std::max(command.ClipRect.y - data->DisplayPos.y, 0.0F);
      const float right = std::min(command.ClipRect.z - data->DisplayPos.x, data->DisplaySize.x);
      const float bottom = std::min(command.ClipRect.w - data->DisplayPos.y, data->DisplaySize.y);
      if (right <= left || bottom <= top || command.ElemCount == 0) continue;
      const SDL_Rect clip{static_cast<int>(left), static_cast<int>(top),
                          static_cast<int>(std::ceil(right - left)),
                          static_cast<int>(std::ceil(bottom - top))};
      SDL_RenderSetClipRect(renderer, &clip);
      const ImDrawVert* vertices = list.VtxBuffer.Data + command.VtxOffset;
      constexpr int kStride = sizeof(ImDrawVert);
      const void* colour = &vertices->col;
      SDL_RenderGeometryRaw(renderer, static_cast<SDL_Texture*>(command.GetTexID()), &vertices->pos.x,
                            kStride, static_cast<const SDL_Color*>(colour), kStride, &vertices->uv.x, kStride,
                            list.VtxBuffer.Size - static_cast<int>(command.VtxOffset),
                            list.IdxBuffer.Data + command.IdxOffset, static_cast<int>(command.ElemCount),
                            sizeof(ImDrawIdx));
    }
  }
  SDL_RenderSetClipRect(renderer, nullptr);
  SDL_RenderSetScale(renderer, 1, 1);
}

}  // namespace landfall::sdl
