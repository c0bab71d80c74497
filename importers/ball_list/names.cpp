#include <algorithm>

#include <fmt/format.h>

#include "importers/ball_list/reader.hpp"
#include "netdb/model/units.hpp"

// A range of names on a range of balls: DQ0-DQ3 on F1-F4.

namespace landfall::importers::ball_list {
namespace {

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

// "DQ12_A": what stands before its last number, the number, and what stands behind.
struct Numbered {
  std::string_view before, behind;
  int number = 0;
};

std::optional<Numbered> numbered(std::string_view name) {
  std::size_t end = name.size();
  while (end > 0 && !is_digit(name[end - 1])) --end;
  std::size_t begin = end;
  while (begin > 0 && is_digit(name[begin - 1])) --begin;
  if (begin == end || end - begin > 4) return std::nullopt;
  const auto number = parse_integer(name.substr(begin, end - begin));
  if (!number) return std::nullopt;
  return Numbered{name.substr(0, begin), name.substr(end), static_cast<int>(*number)};
}

std::vector<std::string> counted(const Numbered& from, int to) {
  std::vector<std::string> names;
  for (int n = from.number;; n += to > from.number ? 1 : -1) {
    names.push_back(fmt::format("{}{}{}", from.before, n, from.behind));
    if (n == to) return names;
  }
}

}  // namespace

std::vector<std::string> names_in(std::string_view text) {
  for (const std::string_view sign : {"...", "..", "-", ":", "~", " to "}) {
    for (auto at = text.find(sign); at != std::string_view::npos; at = text.find(sign, at + 1)) {
      const auto from = numbered(trimmed(text.substr(0, at)));
      const auto to = numbered(trimmed(text.substr(at + sign.size())));
      // Both ends are alike but for the number. A name before the sign: 3-4 alone is none.
      if (from && to && !from->before.empty() && from->before == to->before && from->behind == to->behind &&
          from->number != to->number)
        return counted(*from, to->number);
    }
  }
  return {};
}

void Reader::add_all(const Cell& where, const std::vector<std::string>& balls, const std::string& name,
                     std::string_view type) {
  if (balls.empty()) return;
  const std::vector<std::string> names = names_in(name);
  if (names.empty() || balls.size() == 1 || names.size() != balls.size()) {
    if (!names.empty() && balls.size() > 1)
      log_.warn(where.line, where.column, "names-in-turn",
                fmt::format("{} are {} names for {} balls: each ball has the name as it stands",
                            name.substr(0, 80), names.size(), balls.size()));
    for (const std::string& ball : balls) add(where, ball, name, type);
    return;
  }
  log_.warn(where.line, where.column, "names-in-turn",
            fmt::format("{} was dealt out in turn: {} is {}, and so on to {}, which is {}",
                        name.substr(0, 80), balls.front(), names.front(), balls.back(), names.back()));
  for (std::size_t i = 0; i < balls.size(); ++i) add(where, balls[i], names[i], type);
}

}  // namespace landfall::importers::ball_list
