#include "viewer/scene/scene.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "netdb/model/board.hpp"

namespace landfall::scene {
namespace {

// The length of the UTF-8 sequence that starts there; 0 when it is none.
std::size_t sequence_length(const std::string& text, std::size_t at) {
  const auto byte = static_cast<unsigned char>(text[at]);
  std::size_t length = 0;
  if (byte < 0x80) return 1;
  if (byte >= 0xC2 && byte < 0xE0) length = 2;
  if (byte >= 0xE0 && byte < 0xF0) length = 3;
  if (byte >= 0xF0 && byte < 0xF5) length = 4;
  if (length == 0 || at + length > text.size()) return 0;
  for (std::size_t i = 1; i < length; ++i) {
    if ((static_cast<unsigned char>(text[at + i]) & 0xC0U) != 0x80U) return 0;
  }
  const auto second = static_cast<unsigned char>(text[at + 1]);
  const bool overlong = (byte == 0xE0 && second < 0xA0) || (byte == 0xF0 && second < 0x90);
  const bool outside = (byte == 0xED && second > 0x9F) || (byte == 0xF4 && second > 0x8F);
  return overlong || outside ? 0 : length;
}

// Of "{slash}" and its kin at `at` (FORMATS 1.1) its length, 0 for anything else; `sign`: what it stands for.
std::size_t escape_length(const std::string& text, std::size_t at, char& sign) {
  constexpr std::size_t kLongest = 11;  // "{backslash}"
  if (text[at] != '{') return 0;
  const std::string_view token = std::string_view(text).substr(at, kLongest);
  const std::size_t end = token.find('}');
  if (end == std::string_view::npos) return 0;
  const std::string plain = plain_name(token.substr(0, end + 1));
  if (plain.size() != 1) return 0;
  sign = plain.front();
  return end + 1;
}

}  // namespace

std::string clean_text(const std::string& text) {
  std::string clean;
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t length = sequence_length(text, i);
    char sign = 0;
    if (const std::size_t escape = escape_length(text, i, sign); escape > 0) {
      clean += static_cast<unsigned char>(sign) < 32 ? ' ' : sign;
      i += escape;
    } else if (length == 0) {
      clean += '?';
      ++i;
    } else if (length == 1 && (static_cast<unsigned char>(text[i]) < 32 || text[i] == 127)) {
      clean += ' ';
      ++i;
    } else {
      clean.append(text, i, length);
      i += length;
    }
  }
  return clean;
}

double text_width(const std::string& text, double size, Typeface face) {
  const auto signs = static_cast<double>(std::count_if(
      text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
  const bool mono = face == Typeface::kMono || face == Typeface::kMonoBold;
  return signs * size * (mono ? 0.65 : 0.58);
}

void Canvas::disc(P at, double radius, Colour c) {
  Shape shape;
  shape.kind = ShapeKind::kDisc;
  shape.colour = c;
  shape.at = at;
  shape.radius = radius;
  shapes_.push_back(std::move(shape));
}

void Canvas::ring(P at, double radius, double width, Colour c) {
  Shape shape;
  shape.kind = ShapeKind::kRing;
  shape.colour = c;
  shape.at = at;
  shape.radius = radius;
  shape.width = width * stroke_;
  shapes_.push_back(std::move(shape));
}

void Canvas::path(std::vector<P> points, double width, Colour c) {
  Shape shape;
  shape.kind = ShapeKind::kLine;
  shape.colour = c;
  shape.width = width * stroke_;
  shape.points = std::move(points);
  shapes_.push_back(std::move(shape));
}

void Canvas::line(P from, P to, double width, Colour c) {
  path({from, to}, width, c);
}

void Canvas::dashes(P from, P to, const std::vector<double>& pattern, double width, Colour c) {
  const double length = std::hypot(to.x - from.x, to.y - from.y);
  if (length <= 0 || pattern.empty()) return;
  const P unit = (to - from) * (1 / length);
  double at = 0;
  for (std::size_t i = 0; at < length; ++i) {
    const double end = std::min(length, at + std::max(pattern[i % pattern.size()], 0.5));
    if (i % 2 == 0) line(from + unit * at, from + unit * end, width, c);
    at = end;
  }
}

void Canvas::polygon(std::vector<P> points, Colour c) {
  Shape shape;
  shape.kind = ShapeKind::kPolygon;
  shape.colour = c;
  shape.points = std::move(points);
  shapes_.push_back(std::move(shape));
}

void Canvas::rect(Rect r, Colour c) {
  polygon({{r.x, r.y}, {r.x + r.width, r.y}, {r.x + r.width, r.y + r.height}, {r.x, r.y + r.height}}, c);
}

void Canvas::label(P at, std::string text, double size, Typeface face, Align align, Colour c) {
  Shape shape;
  shape.kind = ShapeKind::kLabel;
  shape.colour = c;
  shape.at = at;
  shape.text = clean_text(text);
  shape.size = size;
  shape.face = face;
  shape.align = align;
  shapes_.push_back(std::move(shape));
}

void Canvas::arc(P at, double radius, double start, double end, double width, Colour c) {
  const int pieces = std::max(2, static_cast<int>((end - start) / 12));
  std::vector<P> points;
  for (int i = 0; i <= pieces; ++i) {
    const double angle = (start + (end - start) * i / pieces) * std::numbers::pi / 180;
    points.push_back({at.x + radius * std::cos(angle), at.y + radius * std::sin(angle)});
  }
  path(std::move(points), width, c);
}

}  // namespace landfall::scene
