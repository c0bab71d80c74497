// Where a part's body stands: the reach beyond the outer balls against Debian's footprints, and its bounds on
// a made board.
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <iostream>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "importers/kicad_library/kicad_library.hpp"
#include "netdb/rework/mend/body.hpp"
#include "netdb/rework/sites.hpp"
#include "tests/support/files.hpp"

using namespace landfall;

namespace {

struct Span {
  double low = 1e9, high = -1e9;
  void take(double value) {
    low = std::min(low, value);
    high = std::max(high, value);
  }
  [[nodiscard]] double length() const { return high - low; }
};

// The package's outline as the footprint draws it on F.Fab, in mm; read here, apart from the importer.
bool drawn_body(const std::string& text, Span& x, Span& y) {
  for (std::size_t at = text.find("(fp_line "); at != std::string::npos;
       at = text.find("(fp_line ", at + 1)) {
    double x1 = 0, y1 = 0, x2 = 0, y2 = 0;
    const std::string line = text.substr(at, 160);
    if (std::sscanf(line.c_str(), "(fp_line (start %lf %lf) (end %lf %lf)", &x1, &y1, &x2, &y2) != 4)
      continue;
    const std::size_t layer = line.find("(layer ");
    if (layer == std::string::npos || line.substr(layer, 16).find("F.Fab") == std::string::npos) continue;
    x.take(x1);
    x.take(x2);
    y.take(y1);
    y.take(y2);
  }
  return x.length() > 0 && y.length() > 0;
}

// "..._P0.8mm" or "_P0.8x0.65mm": the least pitch that the file's name states; 0 when it states none.
double pitch_in_name(const std::string& name) {
  const std::size_t at = name.rfind("_P0.");
  const std::size_t one = at == std::string::npos ? name.rfind("_P1.") : at;
  return one == std::string::npos ? 0 : std::strtod(name.c_str() + one + 2, nullptr);
}

double share(std::vector<double>& all, double at) {
  std::sort(all.begin(), all.end());
  return all[static_cast<std::size_t>(at * static_cast<double>(all.size() - 1))];
}

// Each array of Debian's footprints whose name states a pitch: its board, what F.Fab draws, the pitch.
template <class Each>
bool each_array(Each each) {
  const std::filesystem::path root = "/usr/share/kicad/footprints";
  if (!std::filesystem::is_directory(root / "Package_BGA.pretty")) {
    std::cout << "SKIPPED: the package kicad-footprints is not installed\n";
    return false;
  }
  for (const char* folder : {"Package_BGA.pretty", "Package_CSP.pretty"}) {
    for (const auto& entry : std::filesystem::directory_iterator(root / folder)) {
      const std::string name = entry.path().stem().string();
      const double pitch = pitch_in_name(name);
      const std::string text = testing::read_file(entry.path());
      Span x, y;
      if (pitch <= 0 || !drawn_body(text, x, y)) continue;
      Diagnostics log;
      const auto design = importers::read_kicad_footprint(text, log);
      REQUIRE(design);
      // Not those with leads on four sides.
      if (rework::is_area_array(BoardIndex(design->board), 0)) each(name, design->board, x, y, pitch);
    }
  }
  return true;
}

}  // namespace

TEST_CASE("an array's body reaches one pitch beyond its outer balls: the median of Debian's footprints") {
  std::vector<double> reach;
  const bool there =
      each_array([&](const std::string&, Board board, const Span& x, const Span& y, double pitch) {
        board.parts[0].footprint.clear();
        const BoardIndex index(board);
        const auto ours = rework::body_of(index, 0);
        REQUIRE(ours);
        REQUIRE_FALSE(ours->told);
        // Both sides together, turned as the file draws it.
        const double wide = static_cast<double>(ours->reach.right - ours->reach.left) / 1e6;
        const double high = static_cast<double>(ours->reach.top - ours->reach.bottom) / 1e6;
        reach.push_back(rework::kBodyReach + (x.length() - wide) / 2 / pitch);
        reach.push_back(rework::kBodyReach + (y.length() - high) / 2 / pitch);
      });
  if (!there) return;
  MESSAGE((reach.size() / 2), " packages, reach in pitches: ", share(reach, 0.1), " ", share(reach, 0.5), " ",
          share(reach, 0.9));
  CHECK(reach.size() > 200);
  CHECK(share(reach, 0.5) == doctest::Approx(rework::kBodyReach).epsilon(0.05));
  CHECK(share(reach, 0.9) <= rework::kBodyAtMost + 0.01);
}

TEST_CASE("the size in a footprint's name is the one that it draws") {
  int told = 0;
  std::vector<std::string> other;
  const bool there =
      each_array([&](const std::string& name, const Board&, const Span& x, const Span& y, double) {
        const auto size = rework::size_in_name(name);
        if (!size) return;
        ++told;
        if (std::abs(static_cast<double>(size->x) / 1e6 - x.length()) > 0.15 ||
            std::abs(static_cast<double>(size->y) / 1e6 - y.length()) > 0.15)
          other.push_back(name);
      });
  if (!there) return;
  for (const std::string& name : other) MESSAGE(name);
  MESSAGE(told, " names tell a size");
  CHECK(told > 100);
  CHECK(other.size() * 20 <= static_cast<std::size_t>(told));
}
