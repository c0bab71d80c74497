// ImGui's draw lists through SDL's renderer.
#pragma once

#include <SDL.h>

namespace landfall::sdl {

// Uploads the present context's font atlas; null on failure. The caller destroys it.
SDL_Texture* upload_fonts(SDL_Renderer* renderer);
// Paints the frame that ImGui::Render() made.
void paint_frame(SDL_Renderer* renderer);

}  // namespace landfall::sdl
