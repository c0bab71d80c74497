#include <algorithm>
#include <array>
#include <set>

#include <fmt/format.h>

#include "importers/ball_list/reader.hpp"
#include "importers/bare_part.hpp"
#include "netdb/model/ball_name.hpp"

// Rows of a table that lost its columns: words apart by single blanks, as they come out of a PDF, a row
// shorter by each empty cell. Where the ball and the name stand is found by their look over all rows: balls
// hardly repeat and lie in one grid, and of the words beside them names repeat least.

namespace landfall::importers::ball_list {
namespace {

// A place in a row, counted from its front, its back, or the ball.
struct Place {
  enum From { kFront, kBack, kBall } from = kFront;
  int by = 0;
};

constexpr std::size_t kLeastRows = 4;

std::optional<std::size_t> index_of(const Place& place, const Row& row, std::size_t ball) {
  const int size = static_cast<int>(row.cells.size());
  int at = place.by;
  if (place.from == Place::kBack) at = size - 1 - place.by;
  if (place.from == Place::kBall) at = static_cast<int>(ball) + place.by;
  if (at < 0 || at >= size) return std::nullopt;
  return static_cast<std::size_t>(at);
}

bool is_balls(const Cell& cell) {
  return !balls_in(cell.text, false).empty();
}

bool has_letter(std::string_view text) {
  return std::any_of(text.begin(), text.end(),
                     [](char c) { return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z'); });
}

// A word of a sentence: names of signals have capitals, digits or signs.
bool is_prose(std::string_view text) {
  return std::all_of(text.begin(), text.end(), [](char c) { return (c >= 'a' && c <= 'z') || c == '.'; });
}

// Balls and names by turns, or one name and several balls: such rows have a reading of their own.
bool is_of_pairs(const Row& row) {
  const auto& cells = row.cells;
  if (cells.size() < 3) return false;
  if (std::all_of(cells.begin() + 1, cells.end(), is_balls) ||
      std::all_of(cells.begin(), cells.end() - 1, is_balls))
    return true;
  if (cells.size() % 2 != 0) return false;
  for (const std::size_t lead : {0U, 1U}) {
    bool pairs = true;
    for (std::size_t i = lead; i < cells.size(); i += 2) pairs = pairs && is_balls(cells[i]);
    if (pairs) return true;
  }
  return false;
}

// Where most different balls stand.
std::optional<Place> place_of_balls(const std::vector<const Row*>& rows) {
  static constexpr std::array<Place, 7> kPlaces{{{Place::kFront, 0},
                                                 {Place::kFront, 1},
                                                 {Place::kFront, 2},
                                                 {Place::kFront, 3},
                                                 {Place::kBack, 0},
                                                 {Place::kBack, 1},
                                                 {Place::kBack, 2}}};
  std::optional<Place> best;
  std::size_t most = 0;
  for (const Place& place : kPlaces) {
    std::set<std::string> balls;
    for (const Row* row : rows) {
      if (const auto at = index_of(place, *row, 0); at && is_balls(row->cells[*at]))
        balls.insert(row->cells[*at].text);
    }
    if (balls.size() <= most) continue;
    most = balls.size();
    best = place;
  }
  return most * 2 > rows.size() ? best : std::nullopt;
}

struct Found {
  const Row* row = nullptr;
  std::size_t ball = 0;
};

// "A1, A4, B2-B4" from its first cell on: a comma goes on, and so do balls up to the row's end behind a name.
std::vector<std::string> balls_from(const Row& row, std::size_t ball, bool name_before) {
  std::vector<std::string> all = balls_in(row.cells[ball].text, false);
  const bool to_the_end = name_before && std::all_of(row.cells.begin() + static_cast<std::ptrdiff_t>(ball),
                                                     row.cells.end(), is_balls);
  for (std::size_t i = ball; i + 1 < row.cells.size(); ++i) {
    const char sign = row.cells[i].text.back();
    if (!to_the_end && sign != ',' && sign != ';') break;
    const auto more = balls_in(row.cells[i + 1].text, false);
    if (more.empty()) break;
    all.insert(all.end(), more.begin(), more.end());
  }
  return all;
}

// The place whose words repeat least; a later one must be plainly better.
std::optional<Place> place_of_names(const std::vector<Found>& found) {
  static constexpr std::array<Place, 6> kPlaces{{{Place::kBall, -1},
                                                 {Place::kBall, 1},
                                                 {Place::kFront, 0},
                                                 {Place::kBack, 0},
                                                 {Place::kBall, 2},
                                                 {Place::kBall, -2}}};
  std::optional<Place> best;
  std::size_t most = 0;
  for (const Place& place : kPlaces) {
    std::set<std::string_view> names;
    std::size_t filled = 0;
    for (const Found& one : found) {
      const auto at = index_of(place, *one.row, one.ball);
      if (!at || *at == one.ball || !has_letter(one.row->cells[*at].text)) continue;
      ++filled;
      names.insert(one.row->cells[*at].text);
    }
    if (filled * 10 < found.size() * 9 || names.size() * 4 <= most * 5) continue;
    most = names.size();
    best = place;
  }
  return best;
}

std::optional<Place> place_of_types(const std::vector<Found>& found, const Place& name) {
  static constexpr std::array<Place, 4> kPlaces{
      {{Place::kBack, 0}, {Place::kBall, 2}, {Place::kBall, 3}, {Place::kBack, 1}}};
  for (const Place& place : kPlaces) {
    std::size_t typed = 0;
    for (const Found& one : found) {
      const auto at = index_of(place, *one.row, one.ball);
      if (!at || *at == one.ball || at == index_of(name, *one.row, one.ball)) continue;
      if (pin_type_word(one.row->cells[*at].text) != PinType::kUnknown) ++typed;
    }
    if (typed * 10 >= found.size() * 8) return place;
  }
  return std::nullopt;
}

// A row that has its ball elsewhere: its one cell with a ball that lies in the others' grid and is not
// theirs.
std::optional<std::size_t> ball_elsewhere(const Row& row, const Site& last,
                                          const std::set<std::string>& taken) {
  std::optional<std::size_t> only;
  for (std::size_t i = 0; i < row.cells.size(); ++i) {
    const std::string ball = ball_named(row.cells[i].text);
    const auto site = parse_ball(ball);
    if (!site || site->row > last.row || site->column > last.column || taken.contains(ball)) continue;
    if (only) return std::nullopt;
    only = i;
  }
  return only;
}

std::vector<Found> find_balls(const std::vector<const Row*>& rows, const Place& place) {
  Site last{0, 0};
  std::set<std::string> taken;
  for (const Row* row : rows) {
    const auto at = index_of(place, *row, 0);
    if (!at) continue;
    for (const std::string& ball : balls_in(row->cells[*at].text, false)) {
      taken.insert(ball);
      if (const auto site = parse_ball(ball))
        last = {std::max(last.row, site->row), std::max(last.column, site->column)};
    }
  }
  std::vector<Found> found;
  for (const Row* row : rows) {
    auto at = index_of(place, *row, 0);
    if (!at || !is_balls(row->cells[*at])) at = ball_elsewhere(*row, last, taken);
    if (at) found.push_back({row, *at});
  }
  return found;
}

}  // namespace

bool Reader::read_ragged() {
  if (!table_.blanks) return false;
  std::vector<const Row*> rows;
  std::size_t pairs = 0;
  std::size_t several = 0;
  std::set<std::size_t> sizes;
  for (const Row& row : table_.rows) {
    const auto balls = std::count_if(row.cells.begin(), row.cells.end(), is_balls);
    if (row.cells.size() < 2 || balls == 0) continue;
    rows.push_back(&row);
    pairs += is_of_pairs(row) ? 1U : 0U;
    several += balls > 1 ? 1U : 0U;
    sizes.insert(row.cells.size());
  }
  if (rows.size() < kLeastRows || sizes.size() < 2 || *sizes.rbegin() < 3 || pairs * 10 >= rows.size() ||
      several * 3 >= rows.size())
    return false;
  const auto ball_place = place_of_balls(rows);
  if (!ball_place) return false;
  const std::vector<Found> found = find_balls(rows, *ball_place);
  const auto name_place = place_of_names(found);
  if (!name_place) return false;
  const auto type_place = place_of_types(found, *name_place);
  const auto name_of = [&](const Found& one) {
    const auto at = index_of(*name_place, *one.row, one.ball);
    return at && *at != one.ball ? std::string_view(one.row->cells[*at].text) : std::string_view();
  };
  const auto prose =
      std::count_if(found.begin(), found.end(), [&](const Found& one) { return is_prose(name_of(one)); });
  const bool capitals = static_cast<std::size_t>(prose) * 10 < found.size();
  auto next = found.begin();
  for (const Row& row : table_.rows) {
    if (next == found.end() || next->row != &row) {
      not_understood(row);
      continue;
    }
    const Found one = *next++;
    const std::string name(name_of(one));
    // A list before its name: the name would be looked for among the balls.
    const bool inside = row.cells[one.ball].text.back() == ',' && !balls_in(name, false).empty();
    if (name.empty() || inside || (capitals && is_prose(name))) {
      not_understood(row);
      continue;
    }
    const auto type_at = type_place ? index_of(*type_place, row, one.ball) : std::nullopt;
    const std::string_view type = type_at ? std::string_view(row.cells[*type_at].text) : std::string_view();
    const bool before = *index_of(*name_place, row, one.ball) < one.ball;
    add_all(row.cells[one.ball], balls_from(row, one.ball, before), name, type);
  }
  if (part_.empty()) return false;
  version_ = "words";
  const auto first = index_of(*name_place, *found.front().row, found.front().ball);
  notes_.push_back(fmt::format(
      "lines of words, {}, the words beside them left out",
      first && *first < found.front().ball ? "the name before its ball" : "the ball before its name"));
  return true;
}

}  // namespace landfall::importers::ball_list
