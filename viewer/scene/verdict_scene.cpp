#include "viewer/scene/verdict_scene.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace landfall::scene {
namespace {

using rework::verdict::Option;
using rework::verdict::OptionKind;
using rework::verdict::Verdict;

constexpr double kNames = 420;  // room for words and money left of the axis
constexpr double kLeast = 640;  // a narrower chart has words and money only
constexpr double kAxis = 26;    // height of the axis with its figures
constexpr double kMostRow = 56;

struct Scale {
  Axis axis;
  double from = 0, to = 1;  // on the screen
  [[nodiscard]] double at(double value) const {
    return from + (to - from) * (value - axis.low) / (axis.high - axis.low);
  }
};

std::string tick_text(double value) {
  if (value == 0) return "0";
  return fmt::format("{}{:g}", value > 0 ? "+" : "\u2212", std::abs(value));
}

std::vector<const Option*> in_order(const Verdict& verdict) {
  std::vector<const Option*> options;
  for (const Option& option : verdict.options) options.push_back(&option);
  std::stable_sort(options.begin(), options.end(), [&](const Option* a, const Option* b) {
    if (a->offered != b->offered) return a->offered;
    if (a->kind == verdict.best || b->kind == verdict.best) return a->kind == verdict.best;
    return a->offered && a->margin > b->margin;
  });
  return options;
}

std::string under_text(const Option& option) {
  if (!option.offered) return option.why_not;
  if (!option.chance && option.minutes > 0) return fmt::format("{:.0f} min", option.minutes);
  if (!option.chance)
    return option.kind == OptionKind::kDecline ? fmt::format("bench fee {:.2f}", option.price) : "";
  std::string text = fmt::format("{:.0f}\u00A0% works ({:.0f} to {:.0f})", 100 * option.chance->mean,
                                 100 * option.chance->low, 100 * option.chance->high);
  if (option.minutes > 0) text += fmt::format(", {:.0f} min", option.minutes);
  return text;
}

// Cut where it is wider than that, by the estimate that all painters share.
std::string fitted(std::string text, double width, double size, Typeface face) {
  if (text_width(text, size, face) <= width) return text;
  while (!text.empty() && text_width(text + "\u2026", size, face) > width) {
    do {
      text.pop_back();
    } while (!text.empty() && (static_cast<unsigned char>(text.back()) & 0xC0U) == 0x80U);
  }
  return text + "\u2026";
}

void draw_bar(Canvas& canvas, const Theme& theme, const Option& option, bool best, const Scale& scale,
              double y, Colour ground) {
  const double low = scale.at(option.margin_low);
  const double high = scale.at(option.margin_high);
  if (high - low > 1) {
    if (best) {
      canvas.rect({low, y - 7, high - low, 14}, theme.ink);
    } else {
      canvas.path({{low, y - 6}, {high, y - 6}, {high, y + 6}, {low, y + 6}, {low, y - 6}}, 1.2, theme.ink);
    }
    for (const double x : {low, high}) canvas.line({x, y - 11}, {x, y + 11}, 2, theme.ink);
  }
  const P at{scale.at(option.margin), y};
  canvas.disc(at, 9, ground);
  canvas.disc(at, 7, theme.ink);
}

// Where the repair would level with the best other.
void draw_level(Canvas& canvas, const Theme& theme, const Verdict& verdict, const Scale& scale, double y) {
  if (!verdict.break_even_chance || *verdict.break_even_chance < 0 || *verdict.break_even_chance > 1) return;
  const double x = scale.at(verdict.option(verdict.break_even_against).margin);
  canvas.polygon({{x - 7, y - 20}, {x + 7, y - 20}, {x, y - 9}}, theme.ink);
  canvas.line({x, y - 9}, {x, y + 14}, 1.6, theme.ink);
  const std::string text = fmt::format("level at {:.0f}\u00A0%", 100 * *verdict.break_even_chance);
  const bool right = x + 12 + text_width(text, 13, Typeface::kBold) < scale.to;
  const double wide = text_width(text, 13, Typeface::kBold);
  canvas.rect({right ? x + 10 : x - 14 - wide, y - 22, wide + 4, 15},
              verdict.best == OptionKind::kRepair ? theme.pick : theme.sheet);
  canvas.label({right ? x + 12 : x - 12, y - 14}, text, 13, Typeface::kBold,
               right ? Align::kLeft : Align::kRight, theme.ink);
}

void draw_money_axis(Canvas& canvas, const Theme& theme, const Scale& scale, double top, double bottom) {
  const Axis& axis = scale.axis;
  const int steps = static_cast<int>(std::lround((axis.high - axis.low) / axis.step));
  for (int i = 0; i <= steps; ++i) {
    const double value = axis.low + i * axis.step;
    const double x = scale.at(value);
    const bool zero = std::abs(value) < axis.step * 1e-6;
    canvas.line({x, top}, {x, bottom}, zero ? 1.6 : 1, zero ? theme.ink : theme.rule);
    canvas.label({x, bottom + 13}, tick_text(zero ? 0 : value), 13, Typeface::kPlain, Align::kMiddle,
                 theme.ink2);
  }
  canvas.line({scale.from, bottom}, {scale.to, bottom}, 1, theme.ink);
}

}  // namespace

std::string money_text(double money) {
  const double cents = std::round(std::abs(money) * 100) / 100;
  return fmt::format("{}{:.2f}", cents == 0 ? "" : (money > 0 ? "+" : "\u2212"), cents);
}

Axis round_axis(double low, double high, int wanted) {
  if (!(high > low)) high = low + 1;
  const double raw = (high - low) / std::max(wanted, 1);
  const double power = std::pow(10, std::floor(std::log10(raw)));
  double step = 10 * power;
  for (const double nice : {1.0, 2.0, 5.0}) {
    if (nice * power >= raw * (1 - 1e-9)) {
      step = nice * power;
      break;
    }
  }
  return {std::floor(low / step) * step, std::ceil(high / step) * step, step};
}

void draw_options(Canvas& canvas, const Theme& theme, const Verdict& verdict, const Verdict* before,
                  Rect area) {
  const auto options = in_order(verdict);
  const bool charted = area.width >= kLeast;
  const double row = std::min(kMostRow, (area.height - kAxis) / static_cast<double>(options.size()));
  double low = 0;
  double high = 0;
  for (const Option* option : options) {
    if (!option->offered) continue;
    low = std::min(low, option->margin_low);
    high = std::max(high, option->margin_high);
    if (before != nullptr && before->option(option->kind).offered) {
      low = std::min(low, before->option(option->kind).margin);
      high = std::max(high, before->option(option->kind).margin);
    }
  }
  const Scale scale{round_axis(low, high, 7), area.x + kNames + 24, area.x + area.width - 28};
  const double bottom = area.y + row * static_cast<double>(options.size());
  canvas.rect({area.x, area.y, area.width, row}, theme.pick);
  canvas.rect({area.x, area.y, 5, row}, theme.ink);
  if (charted) draw_money_axis(canvas, theme, scale, area.y, bottom);
  for (std::size_t i = 0; i < options.size(); ++i) {
    const Option& option = *options[i];
    const bool best = option.kind == verdict.best;
    const double top = area.y + static_cast<double>(i) * row;
    const double y = top + row / 2;
    if (i > 0) canvas.line({area.x, top}, {area.x + area.width, top}, 1, theme.rule);
    const double words = charted ? kNames : area.width - 20;
    canvas.label({area.x + 16, y - 9}, std::string(word(option.kind)), 15, Typeface::kBold, Align::kLeft,
                 option.offered ? theme.ink : theme.ink2);
    const double room = option.offered ? words - 140 : area.width - 40;
    canvas.label({area.x + 16, y + 11}, fitted(under_text(option), room, 13, Typeface::kPlain), 13,
                 Typeface::kPlain, Align::kLeft, theme.ink2);
    if (!option.offered) {
      canvas.label({area.x + words - 8, y - 9}, "not offered", 15, Typeface::kPlain, Align::kRight,
                   theme.ink2);
      continue;
    }
    canvas.label({area.x + words - 8, y}, money_text(option.margin), 20, Typeface::kBold, Align::kRight,
                 theme.ink);
    if (!charted) continue;
    if (before != nullptr && before->option(option.kind).offered)
      canvas.ring({scale.at(before->option(option.kind).margin), y}, 7, 1.6, theme.ink2);
    draw_bar(canvas, theme, option, best, scale, y, best ? theme.pick : theme.sheet);
    if (option.kind == OptionKind::kRepair) draw_level(canvas, theme, verdict, scale, y);
  }
  canvas.line({area.x, bottom}, {area.x + area.width, bottom}, 1, theme.rule);
}

void draw_wire_counts(Canvas& canvas, const Theme& theme, const Verdict& verdict, Rect area) {
  constexpr double kLeft = 64;
  constexpr double kFoot = 42;
  const auto& wires = verdict.wires;
  if (wires.margins.empty()) return;
  const double bar = verdict.option(wires.against).margin;
  double low = std::min(bar, 0.0);
  double high = std::max(bar, 0.0);
  for (const auto& [count, margin] : wires.margins) {
    low = std::min(low, margin);
    high = std::max(high, margin);
  }
  const Scale up{round_axis(low, high, 5), area.y + area.height - kFoot, area.y + 10};
  const int first = wires.margins.front().first;
  const int last = std::max(wires.margins.back().first, first + 1);
  const double step = (area.width - kLeft - 24) / (last - first);
  const auto across = [&](int count) { return area.x + kLeft + step * (count - first); };
  const double right = area.x + area.width - 12;
  const int lines = static_cast<int>(std::lround((up.axis.high - up.axis.low) / up.axis.step));
  for (int i = 0; i <= lines; ++i) {
    const double value = up.axis.low + i * up.axis.step;
    const bool zero = std::abs(value) < up.axis.step * 1e-6;
    canvas.line({area.x + kLeft - 8, up.at(value)}, {right, up.at(value)}, 1, zero ? theme.ink : theme.rule);
    canvas.label({area.x + kLeft - 14, up.at(value)}, tick_text(zero ? 0 : value), 13, Typeface::kPlain,
                 Align::kRight, theme.ink2);
  }
  canvas.dashes({area.x + kLeft - 8, up.at(bar)}, {right, up.at(bar)}, {7, 4}, 1.6, theme.ink);
  canvas.label({right, up.at(bar) - 11}, fmt::format("{} {}", word(wires.against), money_text(bar)), 13,
               Typeface::kBold, Align::kRight, theme.ink);
  const int each = step >= 20 ? 1 : (step >= 10 ? 2 : 5);
  for (const auto& [count, margin] : wires.margins) {
    const P at{across(count), up.at(margin)};
    const bool own = count == wires.now;
    const Colour c = own ? theme.mark : theme.ink;
    if (wires.most && count <= *wires.most) {
      canvas.disc(at, 6, c);
    } else {
      canvas.disc(at, 6, theme.sheet);
      canvas.ring(at, 5.2, 1.8, c);
    }
    if (own) {
      canvas.line({at.x, at.y - 30}, {at.x, at.y - 9}, 2, c);
      const bool end = at.x + 90 > right;
      const std::string name = fmt::format("this job: {}", count);
      const double wide = text_width(name, 13, Typeface::kBold);
      canvas.rect({end ? at.x - 10 - wide : at.x + 6, at.y - 33, wide + 4, 18}, theme.sheet);
      canvas.label({at.x + (end ? -8 : 8), at.y - 24}, name, 13, Typeface::kBold,
                   end ? Align::kRight : Align::kLeft, c);
    }
    if ((count - first) % each == 0 || own)
      canvas.label({at.x, area.y + area.height - kFoot + 14}, std::to_string(count), 13,
                   own ? Typeface::kBold : Typeface::kPlain, Align::kMiddle, theme.ink2);
  }
  canvas.label({right, area.y + area.height - 10},
               verdict.behind.wires_done > 0 ? "wires left" : "wires in all", 13, Typeface::kPlain,
               Align::kRight, theme.ink2);
}

}  // namespace landfall::scene
