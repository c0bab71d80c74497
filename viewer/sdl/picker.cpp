#include "viewer/sdl/picker.hpp"

#include <array>
#include <cstdio>
#include <cstdlib>
#include <system_error>
#include <thread>

namespace landfall::sdl {
namespace {

bool on_path(const std::string& program) {
  const char* path = std::getenv("PATH");
  std::string folders = path == nullptr ? "" : path;
  folders += ':';
  std::string folder;
  for (const char c : folders) {
    if (c != ':') {
      folder += c;
      continue;
    }
    std::error_code failed;
    if (!folder.empty() && std::filesystem::is_regular_file(std::filesystem::path(folder) / program, failed))
      return true;
    folder.clear();
  }
  return false;
}

// The only place that starts another program; POSIX's pipe to it.
std::string output_of(const std::string& command) {
  std::string output;
#ifndef _WIN32
  std::FILE* pipe =
      popen(command.c_str(), "r");  // NOLINT(cert-env33-c): a fixed command, no text of a user's
  if (pipe == nullptr) return output;
  std::array<char, 4096> bytes{};
  while (const std::size_t n = std::fread(bytes.data(), 1, bytes.size(), pipe))
    output.append(bytes.data(), n);
  pclose(pipe);
#else
  (void)command;
#endif
  return output;
}

}  // namespace

std::string picker_helper() {
  for (const char* helper : {"zenity", "kdialog"}) {
    if (on_path(helper)) return helper;
  }
  return {};
}

void pick_files(const std::string& helper, std::function<void(std::vector<std::filesystem::path>)> done) {
  std::thread([helper, done = std::move(done)] {
    const std::string output = output_of(
        helper == "zenity" ? "zenity --file-selection --multiple --separator='\n' 2>/dev/null"
                           : "kdialog --getopenfilename . --multiple --separate-output 2>/dev/null");
    std::vector<std::filesystem::path> files;
    std::string line;
    for (const char c : output) {
      if (c != '\n') {
        line += c;
      } else if (!line.empty()) {
        files.emplace_back(line);
        line.clear();
      }
    }
    if (!line.empty()) files.emplace_back(line);
    done(std::move(files));
  }).detach();
}

}  // namespace landfall::sdl
