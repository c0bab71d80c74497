// The typefaces on paper, with their widths, and the painting of shapes with cairo. A letter that B612 has
// not is taken from DejaVu, so that Greek and Cyrillic names are read.
#pragma once

#include <string>
#include <vector>

#include <cairo.h>

#include "viewer/scene/scene.hpp"

namespace landfall::report {

// The signs of a UTF-8 text. Bytes that are no UTF-8 come out as '?'.
std::vector<char32_t> signs_of(const std::string& text);
void add_sign(std::string& text, char32_t sign);

// The width of a text at this em, in the em's unit; exact for the faces that are installed, else estimated.
double width_of(const std::string& text, double size, scene::Typeface face);

// Paints in the context's units, y down. Not from two threads at once.
void paint_shape(cairo_t* cr, const scene::Shape& shape);

}  // namespace landfall::report
