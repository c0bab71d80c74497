#include <algorithm>

#include "netdb/packages/packages.hpp"
#include "viewer/app/facts.hpp"
#include "viewer/app/session_inside.hpp"

// The open board read anew under the job: what was selected, shown and undone before stays, by its names,
// for nets, lanes and channels may have other places in the new board.

namespace landfall::app {
namespace {

Index same_pin(const OpenBoard& from, Index pin, const OpenBoard& to) {
  const Pin& was = from.board().pins[pin];
  const Index part = to.index().part(from.board().parts[was.part].reference);
  return part == kNone ? kNone : to.index().pin(part, was.number);
}

// By the pins that were on it: a net that was joined bears another's name.
Index same_net(const OpenBoard& from, Index net, const OpenBoard& to) {
  for (const Index pin : from.index().pins_of_net(net)) {
    const Index there = same_pin(from, pin, to);
    if (there != kNone) return to.board().pins[there].net;
  }
  return to.index().net(from.board().nets[net].name);
}

template <class Groups>
Index same_group(const Groups& from, Index item, const Groups& to) {
  const auto found =
      std::find_if(to.begin(), to.end(), [&](const auto& group) { return group.name == from[item].name; });
  return found == to.end() ? kNone : static_cast<Index>(found - to.begin());
}

std::optional<Topic> same_topic(const OpenBoard& from, Topic topic, const OpenBoard& to) {
  if (!exists(from, topic)) return std::nullopt;
  switch (topic.kind) {
    case TopicKind::kBall:
      topic.item = same_pin(from, topic.item, to);
      break;
    case TopicKind::kNet:
      topic.item = same_net(from, topic.item, to);
      break;
    case TopicKind::kPart:
      topic.item = to.index().part(from.board().parts[topic.item].reference);
      break;
    case TopicKind::kClass:
      break;
    case TopicKind::kBus:
      topic.item = same_group(from.signals().buses, topic.item, to.signals().buses);
      break;
    case TopicKind::kLane:
      topic.item = same_group(from.signals().lanes, topic.item, to.signals().lanes);
      break;
    case TopicKind::kChannel:
      topic.item = same_group(from.signals().channels, topic.item, to.signals().channels);
      break;
  }
  return topic.item != kNone && exists(to, topic) ? std::optional(topic) : std::nullopt;
}

std::vector<Step> same_steps(const OpenBoard& from, const std::vector<Step>& steps, const OpenBoard& to) {
  std::vector<Step> there;
  for (const Step& step : steps) {
    const auto topic = same_topic(from, step.topic, to);
    if (!topic || step.part >= from.board().parts.size()) continue;
    const Index part = to.index().part(from.board().parts[step.part].reference);
    if (part != kNone) there.push_back({*topic, part});
  }
  return there;
}

}  // namespace

void reread_board(Session& s, std::int64_t board) {
  if (!s.board || s.board->info().id != board) return;
  const auto fresh = open_board(*s.bench, board);
  if (!fresh.ok()) return fail(s, fresh.error());
  const std::shared_ptr<const OpenBoard> was = s.board;
  s.board = s.job ? board_as_told(*s.bench, *fresh, *s.job) : *fresh;
  s.board_is_told = s.board != *fresh;
  const std::string part = was->board().parts[s.package.part].reference;
  const Index there = s.board->index().part(part);
  s.package = packages::package_of(s.board->index(), there == kNone ? 0 : there);
  s.index = std::make_shared<FindIndex>(s.board->index());
  const auto moved = [&](const std::optional<Topic>& topic) {
    return topic ? same_topic(*was, *topic, *s.board) : std::nullopt;
  };
  s.topic = moved(s.topic);
  s.single_out = moved(s.single_out);
  s.been = same_steps(*was, s.been, *s.board);
  s.next = same_steps(*was, s.next, *s.board);
  s.selected = s.selected == kNone ? kNone : same_pin(*was, s.selected, *s.board);
  for (Index& pin : s.chosen) pin = same_pin(*was, pin, *s.board);
  std::erase(s.chosen, kNone);
  forget_photos(s);  // their lands are the old board's
  s.photo_page = false;
  act(s, FindText{s.find_text});
  if (s.job) reload_job(s, "");
  make_sheet_anew(s);
}

}  // namespace landfall::app
