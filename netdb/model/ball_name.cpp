#include "netdb/model/ball_name.hpp"

#include <algorithm>
#include <array>
#include <cctype>

#include "netdb/model/units.hpp"

namespace landfall {
namespace {

constexpr std::string_view kRowLetters = "ABCDEFGHJKLMNPRTUVWY";
constexpr int kBase = static_cast<int>(kRowLetters.size());

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}
bool is_letter(char c) {
  return std::isalpha(static_cast<unsigned char>(c)) != 0;
}

struct Run {
  std::string_view text;
  int kind = 0;  // 0 letters, 1 digits, 2 other
};

Run take_run(std::string_view& rest) {
  const auto kind_of = [](char c) {
    if (is_letter(c)) return 0;
    return is_digit(c) ? 1 : 2;
  };
  const int kind = kind_of(rest.front());
  std::size_t n = 1;
  while (n < rest.size() && kind_of(rest[n]) == kind) ++n;
  const Run run{rest.substr(0, n), kind};
  rest.remove_prefix(n);
  return run;
}

// -1, 0, 1 of two runs of the same kind.
int compare_runs(const Run& a, const Run& b) {
  std::string_view x = a.text;
  std::string_view y = b.text;
  if (a.kind == 1) {
    while (x.size() > 1 && x.front() == '0') x.remove_prefix(1);
    while (y.size() > 1 && y.front() == '0') y.remove_prefix(1);
  }
  if (a.kind != 2 && x.size() != y.size()) return x.size() < y.size() ? -1 : 1;
  const int order = x.compare(y);
  return (order > 0) - (order < 0);
}

}  // namespace

std::string row_letters(int row) {
  std::string letters;
  while (row > 0) {
    letters.insert(letters.begin(), kRowLetters[static_cast<std::size_t>((row - 1) % kBase)]);
    row = (row - 1) / kBase;
  }
  return letters;
}

std::optional<int> row_number(std::string_view letters) {
  if (letters.empty() || letters.size() > 3) return std::nullopt;
  int row = 0;
  for (const char c : letters) {
    const auto at = kRowLetters.find(static_cast<char>(std::toupper(static_cast<unsigned char>(c))));
    if (at == std::string_view::npos) return std::nullopt;
    row = row * kBase + static_cast<int>(at) + 1;
  }
  return row;
}

std::optional<Site> parse_ball(std::string_view name) {
  const auto split = std::find_if(name.begin(), name.end(), is_digit) - name.begin();
  const auto row = row_number(name.substr(0, static_cast<std::size_t>(split)));
  const auto column = parse_integer(name.substr(static_cast<std::size_t>(split)));
  if (!row || !column || *column < 1 || *column > 999) return std::nullopt;
  return Site{*row, static_cast<int>(*column)};
}

std::string ball_text(Site site) {
  return row_letters(site.row) + std::to_string(site.column);
}

bool natural_less(std::string_view a, std::string_view b) {
  const std::string_view whole_a = a;
  const std::string_view whole_b = b;
  while (!a.empty() && !b.empty()) {
    const Run x = take_run(a);
    const Run y = take_run(b);
    if (x.kind != y.kind) return x.kind > y.kind;  // signs, then digits, then letters
    if (const int order = compare_runs(x, y); order != 0) return order < 0;
  }
  if (a.empty() != b.empty()) return a.empty();
  return whole_a < whole_b;
}

}  // namespace landfall
