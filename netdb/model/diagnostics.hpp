// Input with many faults: a reader adds what it skipped or doubted, and goes on.
#pragma once

#include <cstddef>
#include <map>
#include <string>
#include <string_view>
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

 private:
  std::vector<Diagnostic> entries_;
  std::map<std::string, std::size_t, std::less<>> counts_;
  std::size_t errors_ = 0;
};

// "FILE:LINE:COLUMN: message", the parts that are not known left out.
std::string placed(const Diagnostic& d);

}  // namespace landfall
