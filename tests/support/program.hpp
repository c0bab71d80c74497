// The built program run by a shell, as its user would; for test_cli, which knows where it is.
#pragma once

#include <array>
#include <cstdio>
#include <fstream>
#include <string>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>
#include <sys/wait.h>

#include "tests/support/files.hpp"

namespace landfall::testing {

struct Ran {
  int code = -1;
  std::string out;  // both streams
};

inline Ran shell(const std::string& command) {
  Ran ran;
  FILE* pipe =
      popen((command + " 2>&1").c_str(), "r");  // NOLINT(cert-env33-c): the test is about the command line
  REQUIRE(pipe != nullptr);
  std::array<char, 4096> buffer{};
  for (std::size_t n = 0; (n = fread(buffer.data(), 1, buffer.size(), pipe)) > 0;)
    ran.out.append(buffer.data(), n);
  const int status = pclose(pipe);
  ran.code = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  return ran;
}

// The program on a bench file of its own in a folder of its own.
class ProgramBench {
 public:
  Ran operator()(const std::string& arguments) const {
    return shell("env -u NO_COLOR " LANDFALL_PROGRAM " --bench " + folder.file("bench.sqlite").string() +
                 " " + arguments);
  }
  // The answer as JSON; `code` is what must come back.
  [[nodiscard]] nlohmann::json json(const std::string& arguments, int code = 0) const {
    const Ran ran = (*this)("--json " + arguments);
    REQUIRE_MESSAGE(ran.code == code, ran.out);
    return nlohmann::json::parse(ran.out);
  }
  [[nodiscard]] std::string write(const std::string& name, const std::string& text) const {
    std::ofstream(folder.file(name), std::ios::binary) << text;
    return folder.file(name).string();
  }
  // The sample board and its netlist.
  void import_sample() const {
    const std::string files = std::string(LANDFALL_SOURCE) + "/sample-boards/skua4/skua4";
    const Ran ran = (*this)("import " + files + ".kicad_pcb " + files + ".net");
    REQUIRE_MESSAGE(ran.code == 0, ran.out);
  }
  ScratchFolder folder;
};

}  // namespace landfall::testing
