// What to draw, as plain shapes: the same list for the window, the SVG, the PNG and the PDF. Units are pixels
// at 100 %, x right, y down. The painters decide nothing.
#pragma once

#include <string>
#include <vector>

#include "netdb/model/board.hpp"
#include "viewer/scene/theme.hpp"

namespace landfall::scene {

struct P {
  double x = 0, y = 0;
  friend P operator+(P a, P b) { return {a.x + b.x, a.y + b.y}; }
  friend P operator-(P a, P b) { return {a.x - b.x, a.y - b.y}; }
  friend P operator*(P a, double k) { return {a.x * k, a.y * k}; }
};

struct Rect {
  double x = 0, y = 0, width = 0, height = 0;
  [[nodiscard]] P middle() const { return {x + width / 2, y + height / 2}; }
  [[nodiscard]] bool contains(P p) const {
    return p.x >= x && p.y >= y && p.x < x + width && p.y < y + height;
  }
};

enum class ShapeKind {
  kDisc,     // at, radius
  kRing,     // at, radius, width
  kLine,     // points, width
  kPolygon,  // points, filled; convex
  kLabel,    // at, text, size, face, align: at is the text's middle left, middle or middle right
};

enum class Typeface { kPlain, kBold, kItalic, kMono, kMonoBold };
enum class Align { kLeft, kMiddle, kRight };

struct Shape {
  ShapeKind kind = ShapeKind::kLine;
  Colour colour;
  P at;
  double radius = 0;
  double width = 1;
  std::vector<P> points;
  std::string text;  // valid UTF-8
  double size = 15;  // em, in pixels
  Typeface face = Typeface::kPlain;
  Align align = Align::kMiddle;
};

// Collects shapes.
class Canvas {
 public:
  explicit Canvas(double stroke) : stroke_(stroke) {}

  void disc(P at, double radius, Colour c);
  void ring(P at, double radius, double width, Colour c);
  void line(P from, P to, double width, Colour c);
  void path(std::vector<P> points, double width, Colour c);
  // Dashes of on, off, on, off ... along one straight line.
  void dashes(P from, P to, const std::vector<double>& pattern, double width, Colour c);
  void polygon(std::vector<P> points, Colour c);
  void rect(Rect r, Colour c);
  void label(P at, std::string text, double size, Typeface face, Align align, Colour c);
  // A piece of a ring from `start` to `end` degrees, clockwise from the right.
  void arc(P at, double radius, double start, double end, double width, Colour c);

  [[nodiscard]] std::vector<Shape>& shapes() { return shapes_; }

 private:
  double stroke_;
  std::vector<Shape> shapes_;
};

// As it is shown and printed: bytes that are no UTF-8 become '?', control signs a blank, and what KiCad
// writes as "{slash}" and its kin is the sign again (FORMATS 1.1). Machines get names as the file wrote them.
std::string clean_text(const std::string& text);

// The width of a text in pixels, estimated from B612's advance widths (LOOK: digits 0.65 em).
double text_width(const std::string& text, double size, Typeface face);

}  // namespace landfall::scene
