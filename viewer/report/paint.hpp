// The painting of shapes with cairo.
#pragma once

#include <cairo.h>

#include "viewer/scene/scene.hpp"

namespace landfall::report {

// In the context's units, y down. Not from two threads at once.
void paint_shape(cairo_t* cr, const scene::Shape& shape);

}  // namespace landfall::report
