// How a table's cells are set on paper: shared by the files that lay a page out. Points.
#pragma once

#include "viewer/report/document.hpp"

namespace landfall::report {

inline constexpr double kTableSize = 8.6;
inline constexpr double kColumnGap = 8;
inline constexpr double kTickBox = 11;
inline constexpr scene::Typeface kHeadFace = scene::Typeface::kBold;

inline scene::Typeface face_of(Holds holds) {
  if (holds == Holds::kName) return scene::Typeface::kMono;
  return holds == Holds::kNumber ? scene::Typeface::kBold : scene::Typeface::kPlain;
}
inline double size_of(Holds holds) {
  if (holds == Holds::kName) return 8.2;
  return holds == Holds::kNumber ? 10.5 : kTableSize;
}

}  // namespace landfall::report
