#include "viewer/scene/legend.hpp"

#include <algorithm>
#include <map>

#include <fmt/format.h>

#include "viewer/scene/signs.hpp"

namespace landfall::scene {
namespace {

constexpr double kRow = 26;
constexpr double kEm = 13;
constexpr int kMostRows = 3;  // channels beyond them are reached through a ball's sheet

// The channel that the topic is, or lies in.
Index channel_of(const Signals& signals, const std::optional<app::Topic>& topic) {
  if (!topic) return kNone;
  switch (topic->kind) {
    case app::TopicKind::kChannel:
      return topic->item;
    case app::TopicKind::kLane:
      return topic->item < signals.lanes.size() ? signals.lanes[topic->item].channel : kNone;
    case app::TopicKind::kBus:
      return topic->item < signals.buses.size() ? signals.buses[topic->item].channel : kNone;
    default:
      return kNone;
  }
}

struct Counts {
  std::array<std::size_t, kSignalClasses> classes{};
  std::map<Index, std::size_t> channels, lanes, buses;
};

// Lanes and buses of the one channel only.
Counts count_sites(const app::OpenBoard& board, const Package& package, Index inside) {
  const Signals& signals = board.signals();
  Counts counts;
  for (const PackageSite& site : package.sites) {
    const Index net = board.board().pins[site.pin].net;
    ++counts.classes[static_cast<std::size_t>(app::class_of_net(board, net))];
    if (net == kNone) continue;
    const NetSignal& signal = signals.nets[net];
    if (signal.channel != kNone) ++counts.channels[signal.channel];
    for (const Index other : signal.shared_with) ++counts.channels[other];
    if (inside == kNone) continue;
    if (signal.lane != kNone && signals.lanes[signal.lane].channel == inside) ++counts.lanes[signal.lane];
    if (signal.bus != kNone && signals.buses[signal.bus].channel == inside) ++counts.buses[signal.bus];
  }
  return counts;
}

}  // namespace

Legend lay_legend(const app::OpenBoard& board, const Package& package, const std::optional<app::Topic>& open,
                  P at, double width) {
  const Index inside = channel_of(board.signals(), open);
  const Counts counts = count_sites(board, package, inside);
  Legend legend;
  P pen = at;
  const auto add = [&](app::TopicKind kind, Index item, std::size_t count) {
    const app::Topic topic{kind, item};
    LegendEntry entry{topic, clean_text(fmt::format("{} {}", app::topic_name(board, topic), count)), {}};
    const double wide =
        text_width(entry.text, kEm, Typeface::kPlain) + (kind == app::TopicKind::kClass ? 34 : 20);
    if (pen.x > at.x && pen.x + wide > at.x + width) pen = {at.x, pen.y + kRow};
    entry.place = {pen.x, pen.y, std::min(wide, width), kRow};
    pen.x += wide;
    legend.entries.push_back(std::move(entry));
  };
  for (std::size_t c = 0; c < kSignalClasses; ++c) {
    if (counts.classes[c] > 0) add(app::TopicKind::kClass, static_cast<Index>(c), counts.classes[c]);
  }
  // The greatest first; those of a few balls only where there is room.
  std::vector<std::pair<std::size_t, Index>> order;
  for (const auto& [channel, count] : counts.channels) order.push_back({count, channel});
  std::stable_sort(order.begin(), order.end(),
                   [](const auto& a, const auto& b) { return a.first > b.first; });
  for (const auto& [count, channel] : order) {
    const P before = pen;
    add(app::TopicKind::kChannel, channel, count);
    if (pen.y < at.y + kMostRows * kRow || channel == inside) continue;
    legend.entries.pop_back();
    pen = before;
  }
  if (!counts.lanes.empty() || !counts.buses.empty()) pen = {at.x, pen.y + kRow};
  for (const auto& [lane, count] : counts.lanes) add(app::TopicKind::kLane, lane, count);
  for (const auto& [bus, count] : counts.buses) add(app::TopicKind::kBus, bus, count);
  legend.height = legend.entries.empty() ? 0 : pen.y + kRow - at.y;
  return legend;
}

void draw_legend(Canvas& canvas, const Legend& legend, const std::optional<app::Topic>& chosen,
                 const Theme& theme) {
  for (const LegendEntry& entry : legend.entries) {
    const bool own = chosen && *chosen == entry.topic;
    const Rect r = entry.place;
    if (own) canvas.rect({r.x, r.y + 2, r.width - 4, r.height - 4}, theme.ink);
    double x = r.x + 6;
    if (entry.topic.kind == app::TopicKind::kClass) {
      const P sign{r.x + 13, r.y + r.height / 2};
      if (own) canvas.disc(sign, 9.5, theme.sheet);
      draw_class(canvas, static_cast<SignalClass>(entry.topic.item), sign, 7, theme.classes[entry.topic.item],
                 theme.sheet);
      x += 19;
    }
    // What the program worked out is italic; classes stand upright for room, their evidence is in the sheet.
    const Typeface face = entry.topic.kind == app::TopicKind::kClass ? Typeface::kPlain : Typeface::kItalic;
    canvas.label({x, r.y + r.height / 2}, entry.text, kEm, face, Align::kLeft,
                 own ? theme.invert : theme.ink);
  }
}

}  // namespace landfall::scene
