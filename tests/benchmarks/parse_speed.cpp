// parse_speed FILE...: how fast each file becomes a board, against pugixml's own parse of XML and a plain
// scan of text (count of lines, a sum of all bytes), and how much memory that takes. Processor time, the
// least of five. DESIGN.md section 10 has the goals: text at 100 MB/s, XML within 1.5 times pugixml, memory
// within 3 times the file. make_board ipc|xml 1000000 makes files; the real ones will do as well.
#include <algorithm>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <string>

#include <fmt/format.h>
#include <pugixml.hpp>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include "importers/design.hpp"

using namespace landfall;

namespace {

constexpr int kTimes = 5;

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

template <class Work>
double least_seconds(Work work) {
  double least = 1e9;
  for (int i = 0; i < kTimes; ++i) {
    const double before = busy_seconds();
    work();
    least = std::min(least, busy_seconds() - before);
  }
  return least;
}

// At one go, as an import does: a text that grows while it is read takes more than itself.
std::string read_file(const char* name) {
  std::string bytes(std::filesystem::file_size(name), '\0');
  std::ifstream(name, std::ios::binary).read(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  return bytes;
}

// Peak of a process that reads the file and parses it, less what it had before it read the file.
double peak_of_parse(const char* name) {
  int ends[2] = {0, 0};
  if (pipe(ends) != 0) return 0;
  const pid_t child = fork();
  if (child == 0) {
    const double before = peak_mb();
    double more = 0;
    {
      const std::string bytes = read_file(name);
      Diagnostics log;
      const auto design = importers::read_design(bytes, name, log);
      more = peak_mb() - before;
    }
    _exit(write(ends[1], &more, sizeof more) == sizeof more ? 0 : 1);
  }
  double more = 0;
  if (read(ends[0], &more, sizeof more) != sizeof more) more = 0;
  waitpid(child, nullptr, 0);
  close(ends[0]);
  close(ends[1]);
  return more;
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
  const double peak = peak_of_parse(name);  // first: a child begins with its parent's memory
  const std::string bytes = read_file(name);
  const double mb = static_cast<double>(bytes.size()) / 1e6;
  std::string format;
  std::size_t pins = 0;
  bool read = true;
  const double parse = least_seconds([&] {
    Diagnostics log;
    const auto design = importers::read_design(bytes, name, log);
    read = read && design.ok();
    if (!design.ok()) return;
    format = design->format;
    pins = design->board.pins.size();
  });
  if (!read) {
    fmt::print(stderr, "{}: not read\n", name);
    return 3;
  }
  const bool xml = bytes.starts_with("<");
  volatile std::uint64_t kept = 0;
  const double plain = least_seconds([&] {
    if (!xml) {
      kept = scan(bytes);
      return;
    }
    pugi::xml_document document;
    document.load_buffer(bytes.data(), bytes.size());
    kept = document.first_child() ? 1 : 0;
  });
  fmt::print("{:<32} {:<14} {:7.1f} MB {:8} pins  {:6.0f} MB/s  {:5.2f} x {:<8} peak {:4.1f} x the file\n",
             std::string(name).substr(std::string(name).rfind('/') + 1), format, mb, pins, mb / parse,
             parse / plain, xml ? "pugixml" : "a scan", peak / mb);
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  int worst = argc > 1 ? 0 : 2;
  for (int i = 1; i < argc; ++i) worst = std::max(worst, measure(argv[i]));
  return worst;
}
