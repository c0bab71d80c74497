// A document laid out on pages: where each line, rule and picture goes. Points (1/72 inch), y down.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "viewer/report/document.hpp"

namespace landfall::report {

struct PlacedPhoto {
  std::shared_ptr<const photo::Picture> photo;
  scene::P corner;
  double scale = 1;  // points a pixel
};

struct Page {
  std::vector<scene::Shape> shapes;
  std::vector<PlacedPhoto> photos{};  // below all shapes
};

struct PageSize {
  double width = 0, height = 0;  // points
};
PageSize page_points(Paper paper);

// At least one page. Each sheet begins on a new one. Linear in the text.
std::vector<Page> lay_out(const Document& document);

// The text in lines no wider than `width`: broken at blanks, a longer word after '_', '/', '.', '-', ',' or,
// if need be, anywhere. At least one line.
std::vector<std::string> wrapped(const std::string& text, double width, double size, scene::Typeface face);

// Each column's width, together with the gaps at most `total`: as wide as its words need, the rest by how
// much text it holds.
std::vector<double> column_widths(const Table& table, double total);

}  // namespace landfall::report
