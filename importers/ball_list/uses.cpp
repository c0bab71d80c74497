#include <algorithm>

#include <fmt/format.h>

#include "importers/ball_list/reader.hpp"
#include "importers/text/name_guard.hpp"
#include "netdb/model/units.hpp"

// What each column is taken for: said by the user in words, and told to the user before anything is taken.

namespace landfall::importers {

std::string_view word(ColumnUse use) {
  switch (use) {
    case ColumnUse::kSkipped:
      return "-";
    case ColumnUse::kBall:
      return "ball";
    case ColumnUse::kName:
      return "name";
    case ColumnUse::kType:
      return "type";
  }
  return "-";
}

std::optional<ColumnUse> column_use(std::string_view text) {
  const std::string wanted = ball_list::upper(ball_list::trimmed(text));
  if (wanted == "BALL") return ColumnUse::kBall;
  if (wanted == "NAME") return ColumnUse::kName;
  if (wanted == "TYPE") return ColumnUse::kType;
  if (wanted == "-" || wanted == "SKIP") return ColumnUse::kSkipped;
  return std::nullopt;
}

namespace ball_list {
namespace {

constexpr std::size_t kFirstCells = 3;
constexpr std::size_t kCellBytes = 60;

std::string cut_cell(const std::string& text) {
  if (text.size() <= kCellBytes) return text;
  std::size_t end = kCellBytes;
  while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xC0U) == 0x80U) --end;
  return text.substr(0, end) + "...";
}

}  // namespace

std::optional<std::size_t> Reader::column_named(std::string_view text) const {
  if (const auto number = parse_integer(text)) {
    if (*number < 1 || static_cast<std::size_t>(*number) > profiles_.size()) return std::nullopt;
    return static_cast<std::size_t>(*number) - 1;
  }
  for (std::size_t i = 0; i < headings_.size(); ++i) {
    if (upper(headings_[i]) == upper(text)) return i;
  }
  return std::nullopt;
}

bool Reader::columns_by_option(std::vector<Columns>& groups) {
  const std::string_view text = options_.columns;
  const auto comma = text.find(',');
  const auto ball = column_named(trimmed(text.substr(0, comma)));
  const auto name =
      comma == std::string_view::npos ? std::nullopt : column_named(trimmed(text.substr(comma + 1)));
  std::string why;
  if (ball && name) {
    groups.push_back({*ball, *name, type_column(0, profiles_.size())});
  } else if (!uses_by_words(text, groups, why)) {
    std::string list;
    for (std::size_t i = 0; i < profiles_.size() && list.size() < 120; ++i)
      list += fmt::format("{}{} {}", i == 0 ? "" : ", ", i + 1,
                          i < headings_.size() ? headings_[i].substr(0, 40) : "");
    log_.error(
        0, 0, "choice",
        fmt::format("--columns {}: {}; there are {}", guarded_name(std::string(text.substr(0, 60))).text,
                    why.empty() ? "no such columns" : why, guarded_name(list).text));
    refused_ = true;
    return false;
  }
  const Profile& own = profiles_[groups.front().ball];
  numbers_ = own.letters == 0 && own.digit_first < own.numbers;
  return true;
}

bool Reader::uses_by_words(std::string_view text, std::vector<Columns>& groups, std::string& why) const {
  std::vector<std::size_t> balls;
  std::vector<std::size_t> names;
  std::vector<std::size_t> types;
  for (std::size_t i = 0;; ++i) {
    const auto comma = std::min(text.find(','), text.size());
    const auto use = column_use(text.substr(0, comma));
    if (!use) return false;
    if (*use != ColumnUse::kSkipped && i >= profiles_.size()) {
      why = "more columns are named than there are";
      return false;
    }
    if (*use == ColumnUse::kBall) balls.push_back(i);
    if (*use == ColumnUse::kName) names.push_back(i);
    if (*use == ColumnUse::kType) types.push_back(i);
    if (comma == text.size()) break;
    text.remove_prefix(comma + 1);
  }
  if (balls.empty() || balls.size() != names.size()) {
    why = balls.empty() ? "no column has the balls" : "each column of balls needs one of names";
    return false;
  }
  for (std::size_t i = 0; i < balls.size(); ++i) {
    groups.push_back({balls[i], names[i], std::nullopt});
    if (types.size() == balls.size()) groups.back().type = types[i];
    if (types.size() == 1) groups.back().type = types.front();
  }
  return true;
}

void Reader::remember_columns(const std::vector<Columns>& groups) {
  seen_.assign(profiles_.size(), {});
  for (std::size_t i = 0; i < seen_.size(); ++i) {
    seen_[i].heading = cut_cell(profiles_[i].heading);
    seen_[i].balls = profiles_[i].is_ball ? profiles_[i].balls.size() : 0;
  }
  std::size_t wanting = seen_.size();
  for (std::size_t r = first_row_; r < table_.rows.size() && wanting > 0; ++r) {
    const Row& row = table_.rows[r];
    // Rows without a ball are titles and headings, no examples of what the columns hold.
    const auto has_ball = [&](const Columns& g) {
      return g.ball < row.cells.size() && (!balls_in(row.cells[g.ball].text, numbers_).empty() ||
                                           is_digit_first_ball(row.cells[g.ball].text));
    };
    if (!groups.empty() && std::none_of(groups.begin(), groups.end(), has_ball)) continue;
    for (std::size_t i = 0; i < row.cells.size(); ++i) {
      if (row.cells[i].text.empty() || seen_[i].first.size() == kFirstCells) continue;
      seen_[i].first.push_back(cut_cell(row.cells[i].text));
      wanting -= seen_[i].first.size() == kFirstCells ? 1U : 0U;
    }
  }
  if (groups.empty() && refused_ && options_.columns.empty()) {
    // Which package is the user's to say; the names are the same for all.
    const std::size_t width = profiles_.size();
    if (const auto name = name_column(width, 0, width)) seen_[*name].use = ColumnUse::kName;
    if (const auto type = type_column(0, width)) seen_[*type].use = ColumnUse::kType;
  }
  for (const Columns& group : groups) {
    seen_[group.ball].use = ColumnUse::kBall;
    seen_[group.name].use = ColumnUse::kName;
    if (group.type) seen_[*group.type].use = ColumnUse::kType;
  }
}

}  // namespace ball_list
}  // namespace landfall::importers
