#include "netdb/model/units.hpp"

#include <charconv>

#include <fmt/format.h>

namespace landfall {

Point turned(Point p, double degrees) {
  const double angle = normal_degrees(degrees);
  if (angle == 0) return p;
  if (angle == 90) return {-p.y, p.x};
  if (angle == 180) return {-p.x, -p.y};
  if (angle == 270) return {p.y, -p.x};
  const double radians = angle * std::numbers::pi / 180.0;
  const double c = std::cos(radians);
  const double s = std::sin(radians);
  const auto x = static_cast<double>(p.x);
  const auto y = static_cast<double>(p.y);
  return {std::llround(x * c - y * s), std::llround(x * s + y * c)};
}

std::string_view word(Side side) {
  switch (side) {
    case Side::kTop:
      return "top";
    case Side::kBottom:
      return "bottom";
    case Side::kThrough:
      return "through";
  }
  return "";
}

std::optional<Nm> parse_mm(std::string_view text) {
  bool negative = false;
  if (!text.empty() && (text.front() == '-' || text.front() == '+')) {
    negative = text.front() == '-';
    text.remove_prefix(1);
  }
  Nm nm = 0;
  int decimals = -1;  // -1: before the point
  bool any = false;
  bool round_up = false;
  for (const char c : text) {
    if (c == '.' && decimals < 0) {
      decimals = 0;
      continue;
    }
    if (c < '0' || c > '9') return std::nullopt;
    any = true;
    if (decimals == 6) {
      round_up = c >= '5';
      decimals = 7;
      continue;
    }
    if (decimals > 6) continue;
    nm = nm * 10 + (c - '0');
    if (decimals >= 0) ++decimals;
    if (nm > kFarthest) return std::nullopt;
  }
  if (!any) return std::nullopt;
  for (int i = decimals < 0 ? 0 : decimals; i < 6; ++i) {
    nm *= 10;
    if (nm > kFarthest) return std::nullopt;
  }
  if (round_up) ++nm;
  if (nm > kFarthest) return std::nullopt;
  return negative ? -nm : nm;
}

std::optional<std::int64_t> parse_integer(std::string_view text) {
  std::int64_t value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value;
}

std::optional<double> parse_decimal(std::string_view text) {
  const bool plus = !text.empty() && text.front() == '+';
  if (plus) text.remove_prefix(1);
  if (plus && !text.empty() && text.front() == '-') return std::nullopt;
  if (text.find_first_not_of("-.0123456789") != std::string_view::npos) return std::nullopt;
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value;
}

std::string mm_text(Nm nm, int places) {
  return fmt::format("{:.{}f}", static_cast<double>(nm) / static_cast<double>(kNmPerMm), places);
}

}  // namespace landfall
