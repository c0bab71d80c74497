#include "netdb/rework/sites.hpp"

#include <set>

#include "netdb/model/ball_name.hpp"

namespace landfall::rework {
namespace {

std::vector<Index> ball_pins(const BoardIndex& index, Index part) {
  std::vector<Index> balls;
  for (const Index pin : index.pins_of_part(part)) {
    if (parse_ball(index.board().pins[pin].number)) balls.push_back(pin);
  }
  return balls;
}

}  // namespace

std::vector<Index> sites_of(const BoardIndex& index, Index part) {
  const auto pins = index.pins_of_part(part);
  std::vector<Index> balls = ball_pins(index, part);
  const bool array = balls.size() * 10 >= pins.size() * 9;
  return array ? balls : std::vector<Index>(pins.begin(), pins.end());
}

bool is_area_array(const BoardIndex& index, Index part) {
  const std::size_t pins = index.pins_of_part(part).size();
  if (pins < 9) return false;
  std::size_t balls = 0;
  // Two rows named A and B are a connector's: three of each are looked for, and no more.
  std::set<int> rows;
  std::set<int> columns;
  for (const Index pin : index.pins_of_part(part)) {
    const auto site = parse_ball(index.board().pins[pin].number);
    if (!site) continue;
    ++balls;
    if (rows.size() < 3) rows.insert(site->row);
    if (columns.size() < 3) columns.insert(site->column);
  }
  return balls * 10 >= pins * 9 && rows.size() >= 3 && columns.size() >= 3;
}

Index pin_named(const BoardIndex& index, std::string_view text) {
  const auto dot = text.rfind('.');
  if (dot == std::string_view::npos) return kNone;
  const Index part = index.part(text.substr(0, dot));
  return part == kNone ? kNone : index.pin(part, text.substr(dot + 1));
}

std::string names_of(const BoardIndex& index, const std::vector<Index>& pins) {
  std::string list;
  for (std::size_t i = 0; i < pins.size(); ++i) {
    if (i > 0) list += i + 1 == pins.size() ? " and " : ", ";
    list += index.pin_text(pins[i]);
  }
  return list;
}

bool is_live(const BoardIndex& index, Index pin) {
  const Index part = index.board().pins[pin].part;
  return index.board().parts[part].fitted && !is_test_point(index, part);
}

}  // namespace landfall::rework
