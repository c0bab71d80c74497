// Where a picture of the board lies on the board: pixels to nanometres from matched points, by least squares.
// Pixels: x right, y down, from the outer corner of the top left pixel, so that its middle is (0.5, 0.5).
#pragma once

#include <array>
#include <optional>
#include <string_view>
#include <vector>

#include "netdb/model/result.hpp"
#include "netdb/model/units.hpp"

namespace landfall::photo {

struct Pixel {
  double x = 0;
  double y = 0;
  friend bool operator==(const Pixel&, const Pixel&) = default;
};

// One point that was found in the picture and is known on the board.
struct Match {
  Pixel pixel;
  Point place;
};

enum class FitKind {
  kSimilarity,   // turn, scale, shift: a picture taken straight from above; two matches at least
  kPerspective,  // a plane seen at a slant (a homography); four matches at least, no three in a line
};
// "similarity", "perspective".
std::string_view word(FitKind kind);
std::optional<FitKind> fit_kind(std::string_view word);

// A projective map of the plane, row by row; (x, y) goes to (m0 x + m1 y + m2, m3 x + m4 y + m5) over
// m6 x + m7 y + m8.
using Matrix = std::array<double, 9>;

// Nothing where the point lies on or beyond the map's horizon (the divisor is not above zero).
std::optional<std::array<double, 2>> mapped(const Matrix& matrix, double x, double y);

struct Fit {
  FitKind kind = FitKind::kSimilarity;
  Matrix to_board{};    // pixels to nm; the divisor is above zero at every matched pixel
  Matrix to_picture{};  // nm to pixels, its inverse; the divisor is above zero at every matched place
  // From which side of the board one sees it so. A picture of the top that is seen from below was mirrored
  // on the way (a camera's or a program's mirror view).
  Side seen_from = Side::kTop;
  double rms_um = 0;           // root of the mean square of off_um
  std::vector<double> off_um;  // how far each match lies from where the fit puts it, on the board
  // The same for the best similarity of the other hand; nothing where two points fit both, or for a slant.
  std::optional<double> other_hand_um;
  bool checked = false;  // more was matched than the fit needs, so that the residual says something
  double pixel_um = 0;   // of the board, at the matches' middle
};

// The least squares fit of the board's distances. Without a kind: a similarity, unless five matches or more
// leave it more than kSlantPixels off (RMS) and a perspective is closer by what the matches leave free. Both
// hands are tried, and the better one stands; two matches fit both, and `expected` (kTop or kBottom, the side
// that was photographed) says which.
// kUsage in one sentence for too few matches, two of the same place or pixel, all in a line, three of four in
// a line, values that are no numbers, or a fit whose horizon runs between the matches. Similarity: the closed
// form of Umeyama, "Least-squares estimation of transformation parameters between two point patterns", IEEE
// PAMI 13(4), 1991. Perspective: the normalised direct linear transformation of Hartley, "In defense of the
// eight-point algorithm", IEEE PAMI 19(6), 1997, then Levenberg-Marquardt on the distances.
Result<Fit> fit(const std::vector<Match>& matches, std::optional<FitKind> kind, Side expected);

// A trained hand clicks within a pixel or two (common practice, no source).
inline constexpr double kSlantPixels = 3;

// The picture's point of a place; nothing beyond the horizon.
std::optional<Pixel> pixel_of(const Fit& fit, Point place);
// The place of a picture's point; nothing beyond the horizon or further out than kFarthest.
std::optional<Point> place_of(const Fit& fit, Pixel pixel);

}  // namespace landfall::photo
