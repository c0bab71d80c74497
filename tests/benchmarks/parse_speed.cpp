// parse_speed FILE...: how fast each file becomes a board, against pugixml's own parse of XML and a plain
// scan of text (count of lines, a sum of all bytes), and how much memory that takes. Processor time, the
// least of seven, each in a process of its own, as an import is one. "again" is the same ratio in a process
// that did both before: memory that the one left behind serves the other then, and pugixml, which takes
// little else, gains most by it. DESIGN.md section 10 has the goals: text at 100 MB/s, XML within 1.5 times
// pugixml, memory within 3 times the file. make_board ipc|xml 1000000 makes files; the real ones will do as
// well.
#include <algorithm>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <string>

#include <fmt/format.h>
#include <malloc.h>
#include <pugixml.hpp>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include "importers/design.hpp"

using namespace landfall;

namespace {

constexpr int kTimes = 7;

double busy_seconds() {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  const auto seconds = [](const timeval& t) {
    return static_cast<double>(t.tv_sec) + static_cast<double>(t.tv_usec) * 1e-6;
  };
  return seconds(usage.ru_utime) + seconds(usage.ru_stime);
}

double peak_mb() {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  return static_cast<double>(usage.ru_maxrss) * 1024 / 1e6;
}

// What `work` gives in a child that begins with this process's memory as it is now; 0 when it came to
// nothing.
template <class Work>
double in_child(Work work) {
  int ends[2] = {0, 0};
  if (pipe(ends) != 0) return 0;
  const pid_t child = fork();
  if (child == 0) {
    const double value = work();
    _exit(write(ends[1], &value, sizeof value) == sizeof value ? 0 : 1);
  }
  double value = 0;
  if (read(ends[0], &value, sizeof value) != sizeof value) value = 0;
  waitpid(child, nullptr, 0);
  close(ends[0]);
  close(ends[1]);
  return value;
}

template <class Work>
double seconds_of(Work work) {
  const double before = busy_seconds();
  work();
  return busy_seconds() - before;
}

// At one go, as an import does: a text that grows while it is read takes more than itself.
std::string read_file(const char* name) {
  std::string bytes(std::filesystem::file_size(name), '\0');
  std::ifstream(name, std::ios::binary).read(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  return bytes;
}

// Peak of a process that reads the file and parses it, less what it had before it read the file.
double peak_of_parse(const char* name) {
  return in_child([&] {
    const double before = peak_mb();
    const std::string bytes = read_file(name);
    Diagnostics log;
    const auto design = importers::read_design(bytes, name, log);
    return peak_mb() - before;
  });
}

std::uint64_t scan(const std::string& bytes) {
  std::uint64_t sum = 0;
  std::uint64_t lines = 0;
  for (const char c : bytes) {
    sum += static_cast<unsigned char>(c);
    lines += c == '\n' ? 1 : 0;
  }
  return sum ^ (lines << 32U);
}

int measure(const char* name) {
  malloc_trim(0);  // a child begins with its parent's memory, and what is free of it would count for nothing
  const double peak = peak_of_parse(name);
  const std::string bytes = read_file(name);
  const double mb = static_cast<double>(bytes.size()) / 1e6;
  const bool xml = bytes.starts_with("<");
  const auto parse_it = [&] {
    Diagnostics log;
    const auto design = importers::read_design(bytes, name, log);
  };
  volatile std::uint64_t kept = 0;
  const auto parse_plainly = [&] {
    if (!xml) {
      kept = scan(bytes);
      return;
    }
    pugi::xml_document document;
    document.load_buffer(bytes.data(), bytes.size());
    kept = document.first_child() ? 1 : 0;
  };
  double parse = 1e9;
  double plain = 1e9;
  for (int i = 0; i < kTimes; ++i) {  // by turns, so that what else the machine does falls on both
    parse = std::min(parse, in_child([&] { return seconds_of(parse_it); }));
    plain = std::min(plain, in_child([&] { return seconds_of(parse_plainly); }));
  }
  const double again = in_child([&] {
    double parse_again = 1e9;
    double plain_again = 1e9;
    for (int i = 0; i < kTimes; ++i) {
      parse_again = std::min(parse_again, seconds_of(parse_it));
      plain_again = std::min(plain_again, seconds_of(parse_plainly));
    }
    return parse_again / plain_again;
  });
  Diagnostics log;
  const auto design = importers::read_design(bytes, name, log);
  if (!design.ok()) {
    fmt::print(stderr, "{}: not read\n", name);
    return 3;
  }
  fmt::print(
      "{:<32} {:<14} {:7.1f} MB {:8} pins  {:6.0f} MB/s  {:5.2f} x {:<8} {:5.2f} x again  peak {:4.1f} x the "
      "file\n",
      std::string(name).substr(std::string(name).rfind('/') + 1), design->format, mb,
      design->board.pins.size(), mb / parse, parse / plain, xml ? "pugixml" : "a scan", again, peak / mb);
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  int worst = argc > 1 ? 0 : 2;
  for (int i = 1; i < argc; ++i) worst = std::max(worst, measure(argv[i]));
  return worst;
}
