// The verdict as shapes: the options on one axis of money, and the repair's margin by number of wires.
// Colours good or bad are not used for money. LOOK section 8, "Verdict".
#pragma once

#include "netdb/rework/verdict/verdict.hpp"
#include "viewer/scene/scene.hpp"

namespace landfall::scene {

// Ticks at round values (1, 2 or 5 times a power of ten) that hold `low` to `high`, about `wanted` steps.
struct Axis {
  double low = 0, high = 1, step = 1;
};
Axis round_axis(double low, double high, int wanted);

// Best first; rows share the height, at most 56 each, and the axis stands below them. `before`: the verdict
// without what is being tried, as hollow dots; may be null.
void draw_options(Canvas& canvas, const Theme& theme, const rework::verdict::Verdict& verdict,
                  const rework::verdict::Verdict* before, Rect area);

// Dots full while the repair is best; the job's own number of wires named; the best option without wires as a
// dashed line.
void draw_wire_counts(Canvas& canvas, const Theme& theme, const rework::verdict::Verdict& verdict, Rect area);

// "+139.00", "-3.50": money with its sign, a true minus.
std::string money_text(double money);

}  // namespace landfall::scene
