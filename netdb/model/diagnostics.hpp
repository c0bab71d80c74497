// Input with many faults: a reader adds what it skipped or doubted, and goes on.
#pragma once

#include <cstddef>
#include <functional>
#include <map>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace landfall {

enum class Severity { kWarning, kError };

struct Diagnostic {
  Severity severity = Severity::kWarning;
  std::string file;        // empty until the caller names it
  std::size_t line = 0;    // from 1; 0: the whole file
  std::size_t column = 0;  // from 1, in bytes; 0: the whole line
  std::string code;        // stable, one lower-case word with hyphens
  std::string message;     // one sentence: what is wrong, and what was done about it
};

// Keeps the first kKept of a code and counts the rest, so that a hostile file cannot fill memory.
class Diagnostics {
 public:
  static constexpr std::size_t kKept = 100;

  void add(Diagnostic d);
  void warn(std::size_t line, std::size_t column, std::string_view code, std::string message);
  void error(std::size_t line, std::size_t column, std::string_view code, std::string message);

  [[nodiscard]] bool has_errors() const { return errors_ > 0; }
  // How many of this code were added, the ones not kept included.
  [[nodiscard]] std::size_t count(std::string_view code) const;
  [[nodiscard]] const std::vector<Diagnostic>& entries() const { return entries_; }
  // The kept entries, and one more for each code of which some were only counted.
  [[nodiscard]] std::vector<Diagnostic> folded() const;

  // Someone who looks on while a long file is read: told how far the reader is, answers whether it goes on.
  void watch(std::function<bool(std::size_t bytes_done)> watcher) { watcher_ = std::move(watcher); }
  // A reader asks at every list, line or section, and gives up when the answer is no: there is an error then.
  // The watcher hears of it once in kStep bytes.
  bool goes_on(std::size_t bytes_done) {
    if (bytes_done < next_ || !watcher_) return true;
    return ask(bytes_done);
  }

 private:
  std::vector<Diagnostic> entries_;
  std::map<std::string, std::size_t, std::less<>> counts_;
  std::size_t errors_ = 0;

  static constexpr std::size_t kStep = 512U * 1024;
  bool ask(std::size_t bytes_done);
  std::function<bool(std::size_t)> watcher_;
  std::size_t next_ = 0;
  bool stopped_ = false;
};

// "FILE:LINE:COLUMN: message", the parts that are not known left out.
std::string placed(const Diagnostic& d);

}  // namespace landfall
