#include "netdb/model/diagnostics.hpp"

#include <utility>

#include <fmt/format.h>

namespace landfall {

void Diagnostics::add(Diagnostic d) {
  if (d.severity == Severity::kError) ++errors_;
  if (++counts_[d.code] <= kKept) entries_.push_back(std::move(d));
}

void Diagnostics::warn(std::size_t line, std::size_t column, std::string_view code, std::string message) {
  add({Severity::kWarning, "", line, column, std::string(code), std::move(message)});
}

void Diagnostics::error(std::size_t line, std::size_t column, std::string_view code, std::string message) {
  add({Severity::kError, "", line, column, std::string(code), std::move(message)});
}

std::size_t Diagnostics::count(std::string_view code) const {
  const auto found = counts_.find(code);
  return found == counts_.end() ? 0 : found->second;
}

bool Diagnostics::ask(std::size_t bytes_done) {
  if (stopped_) return false;
  next_ = bytes_done + kStep;
  if (watcher_(bytes_done)) return true;
  stopped_ = true;
  next_ = 0;
  error(0, 0, "stopped", "stopped before its end");
  return false;
}

std::vector<Diagnostic> Diagnostics::folded() const {
  std::vector<Diagnostic> all = entries_;
  for (const auto& [code, count] : counts_) {
    if (count <= kKept) continue;
    all.push_back({Severity::kWarning, "", 0, 0, code, fmt::format("{} more of this kind", count - kKept)});
  }
  return all;
}

std::string placed(const Diagnostic& d) {
  if (d.line == 0) return d.file.empty() ? d.message : fmt::format("{}: {}", d.file, d.message);
  return fmt::format("{}:{}:{}: {}", d.file, d.line, d.column == 0 ? 1 : d.column, d.message);
}

}  // namespace landfall
