// The typefaces on paper and their widths. A letter that B612 has
// not is taken from DejaVu, so that Greek and Cyrillic names are read.
#pragma once

#include <string>
#include <vector>

#include "viewer/scene/scene.hpp"

namespace landfall::report {

// The signs of a UTF-8 text. Bytes that are no UTF-8 come out as '?'.
std::vector<char32_t> signs_of(const std::string& text);
void add_sign(std::string& text, char32_t sign);

// The width of a text at this em, in the em's unit; exact for the faces that are installed, else estimated.
double width_of(const std::string& text, double size, scene::Typeface face);

}  // namespace landfall::report
