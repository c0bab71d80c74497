#include <algorithm>
#include <array>
#include <set>

#include <fmt/format.h>

#include "importers/ball_list/reader.hpp"
#include "netdb/model/counted.hpp"

// Tables with a column of balls, or several. FORMATS.md 8.5 to 8.7. A heading is a hint; the content decides.

namespace landfall::importers::ball_list {
namespace {

constexpr std::size_t kHeadingWithin = 60;

bool is_dash(std::string_view text) {
  return text.find_first_not_of('-') == std::string_view::npos || upper(text) == "N/A";
}

std::set<std::string> words_of(std::string_view heading) {
  std::set<std::string> words;
  std::string word;
  for (const char c : upper(heading) + " ") {
    if ((c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '#') {
      word += c;
    } else if (!word.empty()) {
      words.insert(word);
      word.clear();
    }
  }
  return words;
}

template <std::size_t N>
int score(std::string_view heading, const std::array<std::pair<std::string_view, int>, N>& table) {
  const auto words = words_of(heading);
  int sum = 0;
  for (const auto& [word, points] : table) {
    if (words.contains(std::string(word))) sum += points;
  }
  return sum;
}

int ball_score(std::string_view heading) {
  static constexpr std::array<std::pair<std::string_view, int>, 16> kWords{{{"BALL", 5},
                                                                            {"BALLS", 5},
                                                                            {"PIN", 4},
                                                                            {"PINS", 4},
                                                                            {"PAD", 2},
                                                                            {"TERMINAL", 4},
                                                                            {"NUMBER", 3},
                                                                            {"NO", 3},
                                                                            {"#", 2},
                                                                            {"LOCATION", 4},
                                                                            {"SITE", 2},
                                                                            {"COORDINATE", 4},
                                                                            {"FUNCTION", -6},
                                                                            {"SIGNAL", -6},
                                                                            {"NET", -6},
                                                                            {"DESCRIPTION", -6}}};
  return score(heading, kWords);
}

int name_score(std::string_view heading) {
  static constexpr std::array<std::pair<std::string_view, int>, 23> kWords{
      {{"SIGNAL", 6},         {"NAME", 5},    {"NET", 4},      {"FUNCTION", 4}, {"SYMBOL", 3},
       {"DESCRIPTION", 2},    {"PIN", 1},     {"BALL", 1},     {"PRIMARY", 1},  {"DUAL", -10},
       {"ALTERNATE", -10},    {"ALT", -10},   {"TYPE", -20},   {"BANK", -20},   {"CLASS", -20},
       {"NOTE", -20},         {"NOTES", -20}, {"UNIT", -20},   {"GROUP", -20},  {"DIRECTION", -20},
       {"DIFFERENTIAL", -20}, {"SPEED", -20}, {"VOLTAGE", -20}}};
  return score(heading, kWords);
}

int type_score(std::string_view heading) {
  static constexpr std::array<std::pair<std::string_view, int>, 5> kWords{
      {{"TYPE", 3}, {"DIRECTION", 4}, {"DIR", 4}, {"IO", 2}, {"ELECTRICAL", 3}}};
  return score(heading, kWords) + (upper(heading) == "I/O" ? 3 : 0);
}

bool has_letter(std::string_view text) {
  return std::any_of(text.begin(), text.end(),
                     [](char c) { return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z'); });
}

std::size_t common(const std::vector<std::string>& a, const std::vector<std::string>& b) {
  std::vector<std::string> both;
  std::set_intersection(a.begin(), a.end(), b.begin(), b.end(), std::back_inserter(both));
  return both.size();
}

}  // namespace

void Reader::find_heading() {
  for (std::size_t i = 0; i < table_.rows.size() && i < kHeadingWithin; ++i) {
    const Row& row = table_.rows[i];
    const auto heads = std::count_if(row.cells.begin(), row.cells.end(), [](const Cell& c) {
      return ball_score(c.text) > 0 || name_score(c.text) > 1;
    });
    const bool data = std::any_of(row.cells.begin(), row.cells.end(), [](const Cell& c) {
      return !ball_named(c.text).empty() || is_pin_number(c.text);
    });
    if (row.filled() >= 2 && heads >= 1 && (!data || heads >= 2)) {
      for (const Cell& cell : row.cells) headings_.push_back(cell.text);
      first_row_ = i + 1;
      for (std::size_t k = 0; k < i; ++k) table_.titles.push_back(table_.rows[k].text());
      return;
    }
    if (data) return;
  }
}

bool Reader::is_heading(const Row& row) const {
  if (headings_.empty() || row.cells.size() != headings_.size()) return false;
  for (std::size_t i = 0; i < headings_.size(); ++i) {
    if (row.cells[i].text != headings_[i]) return false;
  }
  return true;
}

void Reader::profile_columns() {
  std::size_t width = headings_.size();
  for (const Row& row : table_.rows) width = std::max(width, row.cells.size());
  profiles_.assign(width, {});
  std::vector<std::set<std::string>> distinct(width);
  std::vector<std::set<std::string_view>> different(width);
  std::vector<std::size_t> balls(width, 0);
  std::vector<std::size_t> digits(width, 0);
  for (std::size_t i = 0; i < headings_.size(); ++i) profiles_[i].heading = headings_[i];
  for (std::size_t r = first_row_; r < table_.rows.size(); ++r) {
    const Row& row = table_.rows[r];
    if (is_heading(row)) continue;
    for (std::size_t i = 0; i < row.cells.size(); ++i) {
      const std::string& text = row.cells[i].text;
      if (text.empty() || is_dash(text)) continue;
      Profile& own = profiles_[i];
      ++own.filled;
      const auto list = balls_in(text, false);
      balls[i] += list.size();
      own.letters += static_cast<std::size_t>(!list.empty());
      own.digit_first += static_cast<std::size_t>(is_digit_first_ball(text));
      const auto numbers = balls_in(text, true);
      digits[i] += numbers.size();
      own.numbers += static_cast<std::size_t>(!numbers.empty());
      own.texts += static_cast<std::size_t>(list.empty() && has_letter(text));
      if (list.empty()) different[i].insert(text);
      for (const std::string& ball : list) distinct[i].insert(ball);
      if (list.empty()) distinct[i].insert(numbers.begin(), numbers.end());
      if (list.empty() && is_digit_first_ball(text)) distinct[i].insert(upper(text));
    }
  }
  for (std::size_t i = 0; i < width; ++i) {
    profiles_[i].balls.assign(distinct[i].begin(), distinct[i].end());
    profiles_[i].different = different[i].size();
  }
  const auto mark = [&](auto is) {
    bool any = false;
    for (std::size_t i = 0; i < width; ++i) any = (profiles_[i].is_ball = is(profiles_[i], i)) || any;
    return any;
  };
  // One row alone needs a heading that says so.
  const auto most = [](std::size_t part, const Profile& p) {
    return p.filled >= (ball_score(p.heading) > 0 ? 1U : 2U) && part * 10 >= p.filled * 9;
  };
  if (mark([&](const Profile& p, std::size_t i) {
        return most(p.letters, p) && p.balls.size() * 5 >= balls[i] * 4;
      })) {
    // Names that look like balls: told by their headings where another column is left.
    const auto balls_left = std::count_if(profiles_.begin(), profiles_.end(), [](const Profile& p) {
      return p.is_ball && (ball_score(p.heading) > 0 || name_score(p.heading) <= 1);
    });
    for (Profile& p : profiles_) {
      if (balls_left > 0 && ball_score(p.heading) <= 0 && name_score(p.heading) > 1) p.is_ball = false;
    }
    return;
  }
  if (mark([&](const Profile& p, std::size_t) {
        return most(p.digit_first, p) && p.balls.size() * 5 >= p.filled * 4;
      }))
    return;
  numbers_ = mark([&](const Profile& p, std::size_t i) {
    return most(p.numbers, p) && p.balls.size() * 20 >= digits[i] * 19 &&
           (headings_.empty() ? i == 0 : ball_score(p.heading) > 2);
  });
}

const Cell* Reader::odd_ball_cell() const {
  for (std::size_t i = 0; i < headings_.size(); ++i) {
    if (ball_score(headings_[i]) < 4) continue;
    for (std::size_t r = first_row_; r < table_.rows.size(); ++r) {
      const auto& cells = table_.rows[r].cells;
      if (i < cells.size() && !cells[i].text.empty() && balls_in(cells[i].text, false).empty())
        return &cells[i];
    }
  }
  return nullptr;
}

std::optional<std::size_t> Reader::name_column(std::size_t ball, std::size_t from, std::size_t to) const {
  std::optional<std::size_t> best;
  int best_score = 0;
  for (std::size_t i = from; i < to; ++i) {
    if (profiles_[i].is_ball || i == ball || profiles_[i].filled == 0) continue;
    const int own = name_score(profiles_[i].heading);
    if (own > best_score) {
      best = i;
      best_score = own;
    }
  }
  if (best) return table_.separator == "blanks" ? least_repeated(*best, ball, from, to) : *best;
  const auto is_text = [&](std::size_t i) {
    return i != ball && !profiles_[i].is_ball && profiles_[i].texts * 2 >= profiles_[i].filled &&
           profiles_[i].texts > 0;
  };
  for (std::size_t i = ball + 1; i < to; ++i) {
    if (is_text(i) && name_score(profiles_[i].heading) >= 0) return least_repeated(i, ball, from, to);
  }
  for (std::size_t i = from; i < ball; ++i) {
    if (is_text(i) && name_score(profiles_[i].heading) >= 0) return least_repeated(i, ball, from, to);
  }
  return std::nullopt;
}

// A few words over many rows are types, banks or groups of supplies, no names, where another column is
// plainly richer. Headings of words told apart by blanks stand over any column, and count for little.
std::size_t Reader::least_repeated(std::size_t named, std::size_t ball, std::size_t from,
                                   std::size_t to) const {
  const Profile& taken = profiles_[named];
  if (taken.filled < 10 || taken.different * 4 > taken.filled) return named;
  std::size_t best = named;
  for (std::size_t i = from; i < to; ++i) {
    const Profile& own = profiles_[i];
    if (i == ball || own.is_ball || own.texts * 2 < own.filled || own.filled * 10 < taken.filled * 8 ||
        (table_.separator != "blanks" && name_score(own.heading) < 0))
      continue;
    if (own.different > profiles_[best].different * 2) best = i;
  }
  return best;
}

std::optional<std::size_t> Reader::type_column(std::size_t from, std::size_t to) const {
  for (std::size_t i = from; i < to; ++i) {
    if (!profiles_[i].is_ball && type_score(profiles_[i].heading) > 1) return i;
  }
  return std::nullopt;
}

bool Reader::choose_package(const std::vector<std::size_t>& candidates, std::vector<Columns>& groups) {
  std::string list;
  std::optional<std::size_t> chosen;
  std::size_t matches = 0;
  const std::string wanted = upper(options_.package);
  for (const std::size_t i : candidates) {
    const std::string own =
        profiles_[i].heading.empty() ? fmt::format("column {}", i + 1) : profiles_[i].heading;
    list += fmt::format("{}{} ({})", list.empty() ? "" : ", ", own.substr(0, 60),
                        count_of(profiles_[i].balls.size(), "ball"));
    if (wanted.empty()) continue;
    if (upper(own) == wanted) {
      chosen = i;
      matches = 1;
      list.clear();
      break;
    }
    if (upper(own).find(wanted) != std::string::npos) {
      chosen = i;
      ++matches;
    }
  }
  if (matches != 1) {
    log_.error(0, 0, "choice",
               options_.package.empty()
                   ? fmt::format("the table has several packages, --package picks one: {}", list)
                   : fmt::format("--package {} is none, or not one, of: {}", options_.package, list));
    refused_ = true;
    return false;
  }
  package_ = profiles_[*chosen].heading;
  if (const auto name = name_column(*chosen, 0, profiles_.size()))
    groups.push_back({*chosen, *name, type_column(0, profiles_.size())});
  return !groups.empty();
}

bool Reader::choose_columns(std::vector<Columns>& groups) {
  std::vector<std::size_t> candidates;
  for (std::size_t i = 0; i < profiles_.size(); ++i) {
    if (profiles_[i].is_ball) candidates.push_back(i);
  }
  if (candidates.empty()) return false;
  const std::size_t width = profiles_.size();
  if (candidates.size() > 1) {
    std::size_t overlaps = 0;
    for (std::size_t i = 1; i < candidates.size(); ++i) {
      const auto& a = profiles_[candidates[0]].balls;
      const auto& b = profiles_[candidates[i]].balls;
      if (common(a, b) * 10 > std::min(a.size(), b.size())) ++overlaps;
    }
    if (overlaps > 0) return choose_package(candidates, groups);
  }
  // Side by side: the balls lead their groups, or close them.
  const bool lead = candidates.front() == 0 || candidates.back() + 1 < width;
  for (std::size_t i = 0; i < candidates.size(); ++i) {
    std::size_t from = lead ? candidates[i] : (i == 0 ? 0 : candidates[i - 1] + 1);
    std::size_t to = lead ? (i + 1 < candidates.size() ? candidates[i + 1] : width) : candidates[i] + 1;
    if (candidates.size() == 1) {
      from = 0;
      to = width;
    }
    if (const auto name = name_column(candidates[i], from, to))
      groups.push_back({candidates[i], *name, type_column(from, to)});
  }
  return !groups.empty();
}

void Reader::read_row(const Row& row, const std::vector<Columns>& groups) {
  bool understood = false;
  for (const Columns& group : groups) {
    const auto text = [&](std::size_t i) {
      return i < row.cells.size() ? std::string_view(row.cells[i].text) : std::string_view();
    };
    const std::string_view ball = text(group.ball);
    const std::string_view name = text(group.name);
    if (ball.empty() && name.empty()) continue;
    if (is_dash(ball)) {
      // A name that was broken goes on without a blank: words between rows are a title of the page.
      const bool goes_on = ball.empty() && row.filled() == 1 && !last_ball_.empty() &&
                           name.find(' ') == std::string_view::npos;
      if (ball.empty() && row.filled() == 1 && !goes_on) {
        not_understood(row);
        understood = true;
        continue;
      }
      if (goes_on) {
        part_.rename(last_ball_, last_name_ += name);
        log_.warn(row.cells[group.name].line, row.cells[group.name].column, "joined",
                  fmt::format("{} was joined to the name before it: {} is {}", name.substr(0, 80), last_ball_,
                              last_name_.substr(0, 200)));
      } else {
        ++without_ball_;
      }
      understood = true;
      continue;
    }
    std::vector<std::string> balls = balls_in(ball, numbers_);
    if (balls.empty() && is_digit_first_ball(ball)) balls.push_back(upper(ball));
    add_all(row.cells[std::min(group.ball, row.cells.size() - 1)], balls, std::string(name),
            group.type ? text(*group.type) : std::string_view());
    understood = understood || !balls.empty();
    if (balls.empty() && groups.size() > 1) {
      const Cell& cell = row.cells[group.ball];
      log_.warn(cell.line, cell.column, "not-understood",
                fmt::format("{}: no ball", cell.text.substr(0, 80)));
      understood = true;
    }
  }
  if (!understood) not_understood(row);
}

// A row of a table told apart by blanks that has fewer cells: the ball stands where it does elsewhere, and
// the name beside it or at the same end of the row.
void Reader::read_odd_row(const Row& row, const std::vector<Columns>& groups) {
  const Columns& group = groups.front();
  const std::size_t width = profiles_.size();
  const auto balls = group.ball < row.cells.size() ? balls_in(row.cells[group.ball].text, numbers_)
                                                   : std::vector<std::string>();
  std::optional<std::size_t> name;
  if (group.name < group.ball || group.name == group.ball + 1) name = group.name;
  if (!name && group.name + 1 == width) name = row.cells.size() - 1;
  if (groups.size() > 1 || balls.empty() || row.cells.size() >= width || !name || *name == group.ball ||
      *name >= row.cells.size())
    return not_understood(row);
  add_all(row.cells[group.ball], balls, row.cells[*name].text);
}

bool Reader::read_columns() {
  find_heading();
  if (table_.blanks) {
    // Told apart by blanks, a table needs the same count on nearly all lines.
    std::map<std::size_t, std::size_t> counts;
    for (std::size_t i = first_row_; i < table_.rows.size(); ++i) ++counts[table_.rows[i].cells.size()];
    const auto most = std::max_element(counts.begin(), counts.end(),
                                       [](const auto& a, const auto& b) { return a.second < b.second; });
    // Columns that the user names are counted from the front, however long the rows are.
    const bool any = !options_.columns.empty();
    if (most == counts.end() ||
        (!any && (most->first < 3 || most->second * 10 < (table_.rows.size() - first_row_) * 8)))
      return false;
    std::vector<Row> even;
    for (std::size_t i = first_row_; i < table_.rows.size(); ++i) {
      if (any || table_.rows[i].cells.size() == most->first) {
        even.push_back(std::move(table_.rows[i]));
      } else {
        odd_rows_.push_back(std::move(table_.rows[i]));
      }
    }
    if (headings_.size() != most->first) headings_.clear();
    table_.rows = std::move(even);
    first_row_ = 0;
  }
  profile_columns();
  std::vector<Columns> groups;
  const bool chosen = options_.columns.empty() ? choose_columns(groups) : columns_by_option(groups);
  remember_columns(groups);
  if (!chosen) {
    if (!refused_) {
      for (Row& row : odd_rows_) table_.rows.push_back(std::move(row));
      odd_rows_.clear();
    }
    return false;
  }
  for (std::size_t i = first_row_; i < table_.rows.size(); ++i) {
    if (is_heading(table_.rows[i])) {
      ++repeated_headings_;
    } else {
      read_row(table_.rows[i], groups);
    }
  }
  for (const Row& row : odd_rows_) read_odd_row(row, groups);
  const auto heading = [&](std::size_t i) {
    return i < headings_.size() && !headings_[i].empty() ? fmt::format("\"{}\"", headings_[i].substr(0, 60))
                                                         : fmt::format("column {}", i + 1);
  };
  std::string note = fmt::format("a table, cells apart by {}: balls from {}, names from {}", table_.separator,
                                 heading(groups.front().ball), heading(groups.front().name));
  if (groups.size() > 1) note += fmt::format(", {} such groups side by side", groups.size());
  notes_.push_back(std::move(note));
  if (without_ball_ > 0) notes_.push_back(count_of(without_ball_, "row") + " without a ball here");
  if (repeated_headings_ > 0)
    notes_.push_back(repeated_headings_ == 1
                         ? std::string("the heading is repeated once")
                         : fmt::format("the heading is repeated {} times", repeated_headings_));
  version_ = "table";
  return !part_.empty();
}

}  // namespace landfall::importers::ball_list
