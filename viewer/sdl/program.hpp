// The window on the screen: SDL's events in, ImGui's triangles out.
#pragma once

namespace landfall::sdl {

// Runs until the window is closed; returns the exit code.
int run(int argc, char** argv);

}  // namespace landfall::sdl
