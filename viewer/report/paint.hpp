// The painting of shapes with cairo.
#pragma once

#include <cairo.h>

#include "netdb/photo/picture.hpp"
#include "viewer/scene/scene.hpp"

namespace landfall::report {

// In the context's units, y down. Not from two threads at once.
void paint_shape(cairo_t* cr, const scene::Shape& shape);

// A photo from `corner` on, `scale` units to its pixel. `as_jpeg`: a PDF or SVG keeps it as a JPEG, a tenth
// as large.
void paint_photo(cairo_t* cr, const photo::Picture& picture, scene::P corner, double scale, bool as_jpeg);

}  // namespace landfall::report
