#include "netdb/rework/plan/ground.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <limits>
#include <numbers>
#include <queue>

#include "netdb/rework/mend/body.hpp"
#include "netdb/rework/sites.hpp"

namespace landfall::rework {
namespace {

constexpr Nm kMargin = 15'000'000;
constexpr Nm kFinest = 200'000;
constexpr double kMostSquares = 250'000;
constexpr double kBend = 0.6;  // squares' worth of way that a bend costs: few bends (T21a)

bool within(const Box& box, Point p) {
  return p.x >= box.left && p.x <= box.right && p.y >= box.bottom && p.y <= box.top;
}

}  // namespace

Nm line_length(const std::vector<Point>& line) {
  Nm sum = 0;
  for (std::size_t i = 1; i < line.size(); ++i) sum += distance(line[i - 1], line[i]);
  return sum;
}

Ground::Ground(const BoardIndex& index, Side side, const std::vector<Index>& lifted) {
  const Board& board = index.board();
  std::vector<Box> boxes(board.parts.size());
  std::vector<char> seen(board.parts.size(), 0);
  for (const Land& land : board.lands) {
    if (land.part == kNone || land.pin == kNone) continue;
    const Part& part = board.parts[land.part];
    if (part.side != side || !part.fitted || is_test_point(index, land.part)) continue;
    const Nm reach = std::max(land.width, land.height) / 2;
    Box& box = boxes[land.part];
    if (seen[land.part] == 0) box = {land.at.x, land.at.y, land.at.x, land.at.y};
    seen[land.part] = 1;
    box.left = std::min(box.left, land.at.x - reach);
    box.right = std::max(box.right, land.at.x + reach);
    box.bottom = std::min(box.bottom, land.at.y - reach);
    box.top = std::max(box.top, land.at.y + reach);
  }
  for (std::size_t part = 0; part < boxes.size(); ++part) {
    if (seen[part] == 0) continue;
    const auto p = static_cast<Index>(part);
    Obstacle body{boxes[part], boxes[part]};
    if (std::find(lifted.begin(), lifted.end(), p) == lifted.end() && is_area_array(index, p)) {
      if (const auto array = body_of(index, p)) {
        body.reach = array->reach;
        body.box = array->told ? array->reach : array->balls;
      }
    }
    bodies_.push_back(body);
  }
}

std::vector<Point> Ground::way(Point from, Point to) const {
  const Box area{std::min(from.x, to.x) - kMargin, std::min(from.y, to.y) - kMargin,
                 std::max(from.x, to.x) + kMargin, std::max(from.y, to.y) + kMargin};
  const auto width = static_cast<double>(area.right - area.left);
  const auto height = static_cast<double>(area.top - area.bottom);
  const Nm step = std::max(kFinest, static_cast<Nm>(std::sqrt(width * height / kMostSquares)) + 1);
  const int columns = static_cast<int>((area.right - area.left) / step) + 1;
  const int rows = static_cast<int>((area.top - area.bottom) / step) + 1;
  std::vector<char> wall(static_cast<std::size_t>(columns) * static_cast<std::size_t>(rows), 0);
  const auto at = [&](int column, int row) {
    return static_cast<std::size_t>(row) * static_cast<std::size_t>(columns) +
           static_cast<std::size_t>(column);
  };
  for (std::size_t b = 0; b < bodies_.size(); ++b) {
    const auto holds_end = [&](const Box& box) { return within(box, from) || within(box, to); };
    if (holds_end(bodies_[b].box)) continue;
    const Box& body = holds_end(bodies_[b].reach) ? bodies_[b].box : bodies_[b].reach;
    if (!body.meets(area)) continue;
    const auto first = [&](Nm low, Nm origin) {
      return static_cast<int>(std::max<Nm>((low - origin + step - 1) / step, 0));
    };
    const auto last = [&](Nm high, Nm origin, int count) {
      return static_cast<int>(std::min<Nm>((high - origin) / step, count - 1));
    };
    for (int row = first(body.bottom, area.bottom); row <= last(body.top, area.bottom, rows); ++row) {
      for (int column = first(body.left, area.left); column <= last(body.right, area.left, columns); ++column)
        wall[at(column, row)] = 1;
    }
  }
  const auto square = [&](Point p) {
    return std::pair{static_cast<int>((p.x - area.left + step / 2) / step),
                     static_cast<int>((p.y - area.bottom + step / 2) / step)};
  };
  const auto [start_x, start_y] = square(from);
  const auto [goal_x, goal_y] = square(to);
  wall[at(start_x, start_y)] = 0;  // an end beside a body may round into it
  wall[at(goal_x, goal_y)] = 0;
  constexpr std::array<std::array<int, 2>, 8> kSteps{
      {{1, 0}, {1, 1}, {0, 1}, {-1, 1}, {-1, 0}, {-1, -1}, {0, -1}, {1, -1}}};
  const auto ahead = [gx = goal_x, gy = goal_y](int x, int y) {
    return std::hypot(static_cast<double>(x - gx), static_cast<double>(y - gy));
  };
  std::vector<float> cost(wall.size(), std::numeric_limits<float>::infinity());
  std::vector<signed char> came(wall.size(), -1);
  struct Entry {
    double total = 0;
    int x = 0, y = 0;
    bool operator>(const Entry& other) const { return total > other.total; }
  };
  std::priority_queue<Entry, std::vector<Entry>, std::greater<>> queue;
  cost[at(start_x, start_y)] = 0;
  queue.push({ahead(start_x, start_y), start_x, start_y});
  bool found = false;
  while (!queue.empty()) {
    const Entry here = queue.top();
    queue.pop();
    if (here.x == goal_x && here.y == goal_y) {
      found = true;
      break;
    }
    const std::size_t n = at(here.x, here.y);
    if (here.total > static_cast<double>(cost[n]) + ahead(here.x, here.y) + 1e-3) continue;
    for (std::size_t d = 0; d < kSteps.size(); ++d) {
      const int x = here.x + kSteps[d][0];
      const int y = here.y + kSteps[d][1];
      if (x < 0 || y < 0 || x >= columns || y >= rows || wall[at(x, y)] != 0) continue;
      const double length = d % 2 == 0 ? 1.0 : std::numbers::sqrt2;
      const bool bends = came[n] >= 0 && came[n] != static_cast<signed char>(d);
      const auto there = static_cast<float>(static_cast<double>(cost[n]) + length + (bends ? kBend : 0));
      if (there >= cost[at(x, y)]) continue;
      cost[at(x, y)] = there;
      came[at(x, y)] = static_cast<signed char>(d);
      queue.push({static_cast<double>(there) + ahead(x, y), x, y});
    }
  }
  if (!found) return {};
  std::vector<Point> line{to};
  int x = goal_x;
  int y = goal_y;
  int last_way = -1;
  while (x != start_x || y != start_y) {
    const auto d = static_cast<int>(static_cast<unsigned char>(came[at(x, y)]));  // never -1 on the way back
    if (d != last_way && (x != goal_x || y != goal_y))
      line.push_back({area.left + x * step, area.bottom + y * step});
    last_way = d;
    x -= kSteps[static_cast<std::size_t>(d)][0];
    y -= kSteps[static_cast<std::size_t>(d)][1];
  }
  line.push_back(from);
  std::reverse(line.begin(), line.end());
  return line;
}

}  // namespace landfall::rework
