// Lets the user choose files with the desktop's own helper, on a thread of its own.
#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <string>
#include <vector>

namespace landfall::sdl {

// "zenity", "kdialog", or nothing where neither is installed: then paths are typed.
std::string picker_helper();

// Runs the helper and calls `done` from the thread with what was chosen; with nothing when the user left it.
// The helper is the user's: the thread is not waited for, and `done` must outlive the program's use of it.
void pick_files(const std::string& helper, std::function<void(std::vector<std::filesystem::path>)> done);

}  // namespace landfall::sdl
