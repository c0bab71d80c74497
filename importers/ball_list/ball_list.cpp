#include "importers/ball_list/ball_list.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "importers/ball_list/reader.hpp"
#include "importers/text/decode.hpp"
#include "importers/text/name_guard.hpp"
#include "netdb/model/ball_name.hpp"
#include "netdb/model/counted.hpp"

namespace landfall::importers {
namespace ball_list {
namespace {

constexpr std::size_t kMostBytes = 16U * 1024 * 1024;

std::string lower(std::string_view text) {
  std::string out(text);
  for (char& c : out) c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  return out;
}

// What rows that differ by a page's number share. Where a ball stands in it, each row is one of its own.
std::string likeness(const Row& row) {
  std::string all = row.text();
  if (std::any_of(row.cells.begin(), row.cells.end(),
                  [](const Cell& c) { return !ball_named(c.text).empty(); }))
    return all;
  std::string like;
  for (const char c : all) {
    const bool digit = c >= '0' && c <= '9';
    if (!digit) like += c;
    if (digit && (like.empty() || like.back() != '\0')) like += '\0';
  }
  return like;
}

}  // namespace

Reader::Reader(Table table, Diagnostics& log, const ReadOptions& options)
    : table_(std::move(table)), log_(log), options_(options), part_(log) {
  for (const Row& row : table_.rows) ++alike_[likeness(row)];
}

void Reader::add(const Cell& where, const std::string& ball, const std::string& name, std::string_view type) {
  if (ball.empty()) return;
  const bool letters = ball.find_first_of("ABCDEFGHIJKLMNOPQRSTUVWXYZ") == 0;
  if (letters && !parse_ball(ball) && ++odd_letters_ == 1) {
    log_.warn(where.line, where.column, "row-letters",
              fmt::format("{}: row letters with I, O, Q, S, X or Z, which a grid's rows leave out as a rule: "
                          "taken as they stand",
                          ball));
  }
  if (name.empty()) log_.warn(where.line, where.column, "no-name", fmt::format("{} has no name here", ball));
  part_.add({ball, name, pin_type_word(type), "", where.line, where.column});
  last_ball_ = ball;
  last_name_ = name;
}

void Reader::not_understood(const Row& row) {
  const auto first =
      std::find_if(row.cells.begin(), row.cells.end(), [](const Cell& c) { return !c.text.empty(); });
  if (first == row.cells.end()) return;
  std::size_t& alike = alike_[likeness(row)];
  if (alike == 0) return;
  std::string says = fmt::format("not understood: {}", guarded_name(row.text()).text);
  if (alike > 1) says += fmt::format(", {} times, in these words or with other numbers", alike);
  alike = 0;
  log_.warn(first->line, first->column, "not-understood", std::move(says));
}

void Reader::doubt_one_name() {
  constexpr std::size_t kLeastPins = 10;
  constexpr std::size_t kLeastRepeats = 5;
  if (part_.size() < kLeastPins) return;
  const auto [name, pins] = part_.commonest();
  if (pins * 2 > part_.size() && pins >= kLeastRepeats)
    log_.warn(
        0, 0, "one-name",
        fmt::format("{} of {} balls are called {}: is that the column of names? --columns BALL,NAME says "
                    "which it is",
                    pins, part_.size(), guarded_name(name.substr(0, 80)).text));
}

void Reader::look_for_view() {
  view_ = options_.view;
  for (const std::string& own : table_.titles) {
    if (!view_.empty()) return;
    const std::string text = lower(own);
    if (text.find("bottom") != std::string::npos) view_ = "bottom";
    if (text.find("top") != std::string::npos && view_.empty()) view_ = "top";
  }
}

std::string Reader::title() const {
  return table_.titles.empty() ? std::string() : guarded_name(table_.titles.front()).text;
}

// The trouble first, and the line where a column that is headed as one of balls holds none.
void Reader::refuse(bool named) {
  if (named)
    return log_.error(0, 0, "format",
                      fmt::format("no ball stands where the named columns ({}) have the balls",
                                  guarded_name(options_.columns).text));
  const std::string_view tried = "no ball table: no column of it holds balls";
  if (const Cell* cell = odd_ball_cell())
    return log_.error(cell->line, cell->column, "format",
                      fmt::format("{}, under the heading of balls stands {}", tried,
                                  guarded_name(cell->text.substr(0, 40)).text));
  log_.error(0, 0, "format", fmt::format("{}, no line has one, and it is no grid", tried));
}

std::optional<Design> Reader::run() {
  const bool named = !options_.columns.empty();  // then only what the user named is read
  const bool words = !named && table_.separator == "blanks";
  const bool read = (!named && read_grid()) || (!refused_ && words && read_ragged()) ||
                    (!refused_ && read_columns()) || (!named && !refused_ && (read_ragged() || read_words()));
  if (!read) {
    if (!refused_) refuse(named);
    return std::nullopt;
  }
  if (version_ != "table") seen_.clear();
  if (!table_.titles.empty()) {
    std::vector<std::string> titles;  // each once: a table over several pages says its own again
    for (const auto& title : table_.titles) {
      std::string cut(title.substr(0, 60));
      if (titles.size() > 4) break;
      if (std::find(titles.begin(), titles.end(), cut) == titles.end()) titles.push_back(std::move(cut));
    }
    std::string all;
    for (std::size_t i = 0; i < titles.size() && i < 4; ++i) all += (i == 0 ? "" : "; ") + titles[i];
    notes_.push_back(
        fmt::format("taken as titles: {}{}", guarded_name(all).text, titles.size() > 4 ? " ..." : ""));
  }
  doubt_one_name();
  if (const std::size_t twice = log_.count("pin-twice"); twice > 0) {
    const auto& all = log_.entries();
    const auto first =
        std::find_if(all.begin(), all.end(), [](const auto& d) { return d.code == "pin-twice"; });
    notes_.push_back(
        twice == 1 ? first->message
                   : fmt::format("{}; {} more with two names", first->message, count_of(twice - 1, "ball")));
  }
  Design design;
  design.format = "ball-list";
  design.version = version_;
  design.board = part_.finish(title(), package_, notes_);
  design.notes = std::move(notes_);
  return design;
}

}  // namespace ball_list

bool may_be_ball_list(std::string_view bytes) {
  if (bytes.starts_with("\xFF\xFE") || bytes.starts_with("\xFE\xFF")) return bytes.size() > 8;
  if (is_utf_16(bytes)) return may_be_ball_list(decode_text(bytes.substr(0, 65536)));
  if (bytes.starts_with("\xEF\xBB\xBF")) bytes.remove_prefix(3);
  const auto first = bytes.find_first_not_of(" \t\r\n\f\v");
  if (first == std::string_view::npos ||
      std::string_view("({<%[").find(bytes[first]) != std::string_view::npos)
    return false;
  const std::string_view head = bytes.substr(0, 65536);
  const auto odd = std::count_if(head.begin(), head.end(), [](char c) {
    return static_cast<unsigned char>(c) < 32 &&
           std::string_view("\n\r\t\f\v").find(c) == std::string_view::npos;
  });
  if (odd > 0) return false;
  const auto lines =
      std::count_if(head.begin(), head.end(), [](char c) { return c == '\n' || c == '\r' || c == '\f'; });
  return lines >= 1 && head.find_first_of(" \t;,|") != std::string_view::npos;
}

namespace {

ListLook look_at_table(ball_list::Table table, Diagnostics& log, const ReadOptions& options) {
  ball_list::Reader reader(std::move(table), log, options);
  ListLook look;
  look.design = reader.run();
  look.columns = reader.columns();
  return look;
}

}  // namespace

ListLook look_at_ball_list(std::string_view bytes, Diagnostics& log, const ReadOptions& options) {
  if (bytes.size() > ball_list::kMostBytes) {
    log.error(0, 0, "format", "more than 16 MB of text: no ball list is that long");
    return {};
  }
  const std::string text = decode_text(bytes);
  const Diagnostics before = log;
  ball_list::Table table = ball_list::split_table(text);
  const bool commas = table.separator == "commas" || table.separator == "semicolons";
  ListLook look = look_at_table(std::move(table), log, options);
  if (look.design || !commas || !options.columns.empty() || log.count("choice") > before.count("choice"))
    return look;
  // The commas may be those of descriptions behind words that stand apart by blanks.
  Diagnostics again = before;
  ListLook words = look_at_table(ball_list::split_table(text, true), again, options);
  if (!words.design) return look;
  log = std::move(again);
  return words;
}

std::optional<Design> read_ball_list(std::string_view bytes, Diagnostics& log, const ReadOptions& options) {
  return look_at_ball_list(bytes, log, options).design;
}

}  // namespace landfall::importers
