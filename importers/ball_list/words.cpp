#include <algorithm>

#include <fmt/format.h>

#include "importers/ball_list/reader.hpp"

// Lines of words out of a PDF: ball and name by turns in either order, one name and many balls, a ball on one
// line and its name on the next.

namespace landfall::importers::ball_list {
namespace {

bool is_ball(const Cell& cell) {
  return !ball_named(cell.text).empty();
}

// Those of all cells; none when one of the cells is no ball.
std::vector<std::string> balls_of(std::vector<Cell>::const_iterator cell,
                                  std::vector<Cell>::const_iterator end) {
  std::vector<std::string> all;
  for (; cell != end; ++cell) {
    const auto balls = balls_in(cell->text, false);
    if (balls.empty()) return {};
    all.insert(all.end(), balls.begin(), balls.end());
  }
  return all;
}

// A name that was cut at a line's end goes on with such a sign.
bool goes_on(std::string_view name, std::string_view more) {
  constexpr std::string_view kJoints = "_/,(";
  return (!name.empty() && kJoints.find(name.back()) != std::string_view::npos) ||
         (!more.empty() && (more.front() == '_' || more.front() == '/' || more.front() == ')'));
}

}  // namespace

bool Reader::read_words() {
  std::size_t ball_first = 0;
  std::size_t name_first = 0;
  std::size_t alone = 0;
  for (const Row& row : table_.rows) {
    const bool first = !balls_in(row.cells.front().text, false).empty();
    const bool last = !balls_in(row.cells.back().text, false).empty();
    if (row.cells.size() == 1) {
      alone += first ? 1 : 0;
    } else if (first && !last) {
      ++ball_first;
    } else if (last && !first) {
      ++name_first;
    } else if (first) {
      ++ball_first;  // "A1 DQ0 A2 D1": names may look like balls
    }
  }
  if (ball_first + name_first + alone < 2) return false;
  const bool balls_lead = ball_first + alone >= name_first;
  const Cell* waiting = nullptr;  // a ball whose name is on the next line
  for (const Row& row : table_.rows) {
    const auto& cells = row.cells;
    if (cells.size() == 1) {
      const Cell& cell = cells.front();
      if (waiting != nullptr) {
        add(*waiting, ball_named(waiting->text), cell.text);
        waiting = nullptr;
      } else if (is_ball(cell) && alone > 1) {
        waiting = &cell;
      } else if (!last_ball_.empty() && goes_on(last_name_, cell.text)) {
        part_.rename(last_ball_, last_name_ += cell.text);
        log_.warn(cell.line, cell.column, "joined",
                  fmt::format("{} was joined to the name before it: {} is {}", cell.text.substr(0, 80),
                              last_ball_, last_name_));
      } else {
        not_understood(row);
      }
      continue;
    }
    if (waiting != nullptr) {
      log_.warn(waiting->line, waiting->column, "not-understood",
                fmt::format("{}: a ball without a name", waiting->text));
      waiting = nullptr;
    }
    // One name and many balls: all the others are balls.
    const bool rest_balls = std::all_of(cells.begin() + 1, cells.end(),
                                        [](const Cell& c) { return !balls_in(c.text, false).empty(); });
    if (rest_balls && balls_in(cells.front().text, false).empty()) {
      std::string name = cells.front().text;
      if (name.size() > 1 && name.back() == ':') name.pop_back();
      add_all(cells[1], balls_of(cells.begin() + 1, cells.end()), name);
      continue;
    }
    const std::size_t lead = balls_lead ? 0 : 1;
    bool pairs = cells.size() % 2 == 0;
    for (std::size_t i = lead; i < cells.size() && pairs; i += 2) pairs = is_ball(cells[i]);
    if (pairs) {
      for (std::size_t i = 0; i + 1 < cells.size(); i += 2)
        add(cells[i + lead], ball_named(cells[i + lead].text), cells[i + 1 - lead].text);
    } else if (const auto all = balls_of(cells.begin(), cells.end() - 1);
               !all.empty() && cells.front().text.find_first_of(",;") != std::string::npos) {
      add_all(cells.front(), all, cells.back().text);  // the name behind them: "A1, A4, B2-B4 VDD"
    } else if (const auto balls = balls_in(cells.front().text, false);
               !balls.empty() && std::none_of(cells.begin() + 1, cells.end(), is_ball)) {
      add_all(cells.front(), balls, cells[1].text, cells.size() > 2 ? cells[2].text : "");
    } else if (is_ball(cells.back()) && std::none_of(cells.begin(), cells.end() - 1, is_ball)) {
      add(cells.back(), ball_named(cells.back().text), cells.front().text);
    } else {
      not_understood(row);
    }
  }
  if (waiting != nullptr)
    log_.warn(waiting->line, waiting->column, "not-understood",
              fmt::format("{}: a ball without a name", waiting->text));
  if (part_.empty()) return false;
  version_ = "words";
  notes_.push_back(fmt::format("lines of words, {}",
                               balls_lead ? "the ball before its name" : "the name before its ball"));
  return true;
}

}  // namespace landfall::importers::ball_list
