#include "netdb/rework/escape_gap.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <span>

namespace landfall::rework {
namespace {

constexpr Nm kWidest = 100 * kNmPerMm;  // the square of two such pitches stays far inside int64

struct Row {
  Nm key = 0;
  Nm joint = 0;
};

// Pitch -> joint after reflow, TRADE.md section 8 (the wider of two); 0.35 by T33's footprint.
constexpr std::array<Row, 7> kByPitch{{{350'000, 220'000},
                                       {400'000, 250'000},
                                       {500'000, 300'000},
                                       {650'000, 400'000},
                                       {800'000, 500'000},
                                       {1'000'000, 600'000},
                                       {1'270'000, 750'000}}};
// Land -> ball by T33's nominal lands for collapsing balls; 0.40 -> 0.50 is also T32's after reflow.
constexpr std::array<Row, 7> kByLand{{{170'000, 200'000},
                                      {200'000, 250'000},
                                      {250'000, 300'000},
                                      {300'000, 400'000},
                                      {400'000, 500'000},
                                      {450'000, 600'000},
                                      {550'000, 750'000}}};

// In proportion between the rows, along the end rows' ratio outside of them.
Nm look_up(std::span<const Row> rows, Nm key) {
  if (key <= rows.front().key) return key * rows.front().joint / rows.front().key;
  if (key >= rows.back().key) return key * rows.back().joint / rows.back().key;
  const auto above = std::find_if(rows.begin(), rows.end(), [&](const Row& row) { return row.key >= key; });
  const Row& high = *above;
  const Row& low = *(above - 1);
  return low.joint + (high.joint - low.joint) * (key - low.key) / (high.key - low.key);
}

// Largest whole number whose square is at most `square`.
Nm whole_root(Nm square) {
  Nm root = std::llround(std::sqrt(static_cast<double>(square)));
  while (root * root > square) --root;
  while ((root + 1) * (root + 1) <= square) ++root;
  return root;
}

std::optional<Error> fault(const Gap& gap, Nm wire) {
  if (wire <= 0 || wire > kWidest)
    return Error{ErrorCode::kUsage, "a wire's diameter lies above 0, up to 100 mm"};
  if (gap.joint <= 0 || gap.joint >= gap.pitch || gap.pitch > kWidest)
    return Error{ErrorCode::kUsage,
                 "a joint is wider than 0 and narrower than the pitch, which is at most 100 mm"};
  if (gap.clearance < 0 || gap.spacing < 0 || gap.clearance > kWidest || gap.spacing > kWidest)
    return Error{ErrorCode::kUsage, "clearance and spacing lie between 0 and 100 mm"};
  return std::nullopt;
}

int fitting(Nm free_width, const Gap& gap, Nm wire) {
  const Nm room = free_width - 2 * gap.clearance + gap.spacing;
  return room <= 0 ? 0 : static_cast<int>(room / (wire + gap.spacing));
}

}  // namespace

Nm straight_gap(const Gap& gap) {
  return gap.pitch - gap.joint;
}

Nm diagonal_gap(const Gap& gap, Nm other_pitch) {
  return whole_root(gap.pitch * gap.pitch + other_pitch * other_pitch) - gap.joint;
}

Result<int> wires_through(const Gap& gap, Nm wire) {
  if (auto bad = fault(gap, wire)) return *std::move(bad);
  return fitting(straight_gap(gap), gap, wire);
}

Result<int> wires_through_diagonal(const Gap& gap, Nm other_pitch, Nm wire) {
  if (auto bad = fault(gap, wire)) return *std::move(bad);
  if (other_pitch <= gap.joint || other_pitch > kWidest)
    return Error{ErrorCode::kUsage, "the other pitch is wider than a joint and at most 100 mm"};
  return fitting(diagonal_gap(gap, other_pitch), gap, wire);
}

Nm usable_width(const Gap& gap) {
  return std::max<Nm>(0, straight_gap(gap) - 2 * gap.clearance);
}

std::optional<JointDiameter> joint_after_soldering(Nm pitch, std::optional<Nm> land) {
  if (pitch <= 0) return std::nullopt;
  pitch = std::min(pitch, kWidest);
  if (!land || *land <= 0)
    return JointDiameter{look_up(kByPitch, pitch), "TRADE.md section 8 (by the pitch)"};
  const Nm own = std::min(*land, kWidest);
  const Nm widest = std::max(own, pitch * 9 / 10);
  return JointDiameter{std::min(std::max(own, look_up(kByLand, own)), widest),
                       "TRADE.md T32, T33 (by the land)"};
}

Nm joint_height(Nm pitch) {
  constexpr Nm kHeight = 250'000;
  constexpr Nm kAtPitch = 800'000;
  return pitch >= kAtPitch ? kHeight : std::max<Nm>(0, pitch) * kHeight / kAtPitch;
}

}  // namespace landfall::rework
