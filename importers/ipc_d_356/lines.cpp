#include <algorithm>
#include <cstdlib>
#include <map>

#include <fmt/format.h>

#include "importers/ipc_d_356/drafts.hpp"
#include "importers/text/encoding.hpp"

namespace landfall::importers::ipc_d_356 {
namespace {

constexpr std::size_t kMostLine = 16U << 20U;

// The next line, without its end: LF, CRLF or CR.
std::string_view take_line(std::string_view& rest) {
  const auto feed = rest.find('\n');  // these two are memchr: a search for either is far slower
  std::string_view line = rest.substr(0, feed);
  const auto mac = line.find('\r');
  if (mac != std::string_view::npos && mac + 1 < line.size()) {
    rest.remove_prefix(mac + 1);
    return line.substr(0, mac);
  }
  if (mac != std::string_view::npos) line.remove_suffix(1);
  rest.remove_prefix(feed == std::string_view::npos ? rest.size() : feed + 1);
  return line;
}

std::vector<std::string_view> split_words(std::string_view text) {
  std::vector<std::string_view> words;
  while (true) {
    const auto start = text.find_first_not_of(" \t");
    if (start == std::string_view::npos) return words;
    text.remove_prefix(start);
    const auto end = text.find_first_of(" \t");
    words.push_back(text.substr(0, end));
    if (end == std::string_view::npos) return words;
    text.remove_prefix(end);
  }
}

// The coordinates of a chain, one after the other: X and Y together, either alone, or a lift of the pen.
class Groups {
 public:
  struct Group {
    std::optional<std::int64_t> x, y;
    bool lift = false;
  };

  explicit Groups(std::string_view text) : text_(text) {}

  // Nothing at the end, and before what cannot be read.
  std::optional<Group> next() {
    while (good_ && at_ < text_.size() && text_[at_] == ' ') ++at_;
    if (!good_ || at_ == text_.size()) return std::nullopt;
    if (text_[at_] == '*') {
      ++at_;
      return Group{std::nullopt, std::nullopt, true};
    }
    Group group;
    if (text_[at_] == 'X') {
      group.x = value();
      if (good_ && at_ < text_.size() && text_[at_] == 'Y') group.y = value();
      return group.x ? std::optional(group) : std::nullopt;
    }
    if (text_[at_] == 'Y') group.y = value();
    good_ = good_ && group.y;
    return group.y ? std::optional(group) : std::nullopt;
  }

  // Whether all before could be read.
  [[nodiscard]] bool good() const { return good_; }

 private:
  // The number behind the letter.
  std::optional<std::int64_t> value() {
    constexpr std::int64_t kMost = kFarthest / 1'000;  // the finest unit is 1000 nm
    std::size_t end = at_ + 1;
    while (end < text_.size() &&
           (text_[end] == '+' || text_[end] == '-' || (text_[end] >= '0' && text_[end] <= '9')))
      ++end;
    const auto number = field_number(text_.substr(at_ + 1, end - at_ - 1));
    good_ = number && *number <= kMost && *number >= -kMost &&
            (end == text_.size() || std::string_view(" XY*").find(text_[end]) != std::string_view::npos);
    at_ = end;
    return good_ ? number : std::nullopt;
  }

  std::string_view text_;
  std::size_t at_ = 0;
  bool good_ = true;
};

class LineReader {
 public:
  LineReader(Drafts& drafts, Diagnostics& log) : drafts_(drafts), log_(log) {}

  void read(std::string_view bytes) {
    drafts_.latin_1 = !is_utf_8(bytes);
    const bool cut = !bytes.ends_with('\n') && !bytes.ends_with('\r');
    std::size_t number = 0;
    const std::size_t size = bytes.size();
    while (!bytes.empty() && log_.goes_on(size - bytes.size())) {
      ++number;
      const std::string_view line = take_line(bytes);
      if (line.empty()) continue;
      if (drafts_.ended) {
        log_.warn(number, 1, "after-end", "something stands after the end record 999: not read");
        return;
      }
      if (line.size() > kMostLine) {
        log_.warn(number, 1, "line-long", "a line of more than 16 MB: skipped");
        head_lost_ = true;
        continue;
      }
      if (cut && bytes.empty() && is_half(line)) {
        log_.warn(number, 1, "cut-off", "the file ends within this line: it is skipped");
        continue;
      }
      read_line(line, number);
    }
    if (!drafts_.ended)
      log_.warn(number, 1, "no-end", "the end record 999 is missing: the file may be cut off");
  }

 private:
  // Whether the last line of a file, without an end, may be cut off: a name or a number would be wrong.
  // Records are whole once the last size and angle stand there.
  static bool is_half(std::string_view line) {
    constexpr std::size_t kAngleEnd = 71;
    return !line.starts_with("999") && (line[0] == 'P' || line[0] == 'C' || line.size() < kAngleEnd);
  }

  // Behind the columns that a record has: two lines in one, as a rule.
  void check_end(std::string_view line, std::size_t number, std::size_t columns) {
    if (line.size() > columns && !trimmed(line.substr(columns)).empty()) {
      log_.warn(number, columns + 1, "line-long", "what stands behind the last column is not read");
    }
  }

  void read_line(std::string_view line, std::size_t number) {
    if (line[0] == 'P' || line[0] == 'C') return read_parameter(line, number);
    const auto code = line.size() >= 3 ? field_number(line.substr(0, 3)) : std::nullopt;
    const bool plain = code && line[0] >= '0' && line[0] <= '9';
    if (!plain) {
      if (trimmed(line).empty()) return;
      log_.warn(number, 1, "record", "a line that is no record: skipped");
      head_lost_ = true;  // it may have been one
      chain_open_ = false;
      return;
    }
    const bool head = *code >= 100;
    if (head) chain_open_ = false;
    switch (*code) {
      case 999:
        drafts_.ended = true;
        return;
      case 317:
      case 327:
      case 307:
      case 367:
      case 17:
      case 27:
        return read_feature(line, static_cast<int>(*code), number);
      case 378:
      case 78:
      case 389:
      case 89:
        return read_conductor(line, static_cast<int>(*code), number);
      case 309:
        ++drafts_.other_images;
        head_lost_ = true;
        return;
      case 88:
      case 99:
      case 370:
      case 380:
      case 70:
      case 80:
      case 379:
      case 79:
      case 390:
      case 90:
        head_lost_ = head_lost_ || head;
        return;  // nothing that a repair needs
      default:
        break;
    }
    head_lost_ = head_lost_ || head;
    if (++unknown_[static_cast<int>(*code)] == 1) {
      log_.warn(number, 1, "record-code", fmt::format("records {:03} are not defined: skipped", *code));
    }
  }

  void read_parameter(std::string_view line, std::size_t number) {
    const auto words = split_words(line.substr(1));
    if (words.empty()) return;
    // Long names: in P by the standard, in C from some writers.
    if (words.size() >= 2 && words[0].starts_with("NNAME") && words[0].size() > 5 && words[0].size() <= 14) {
      const auto name = line.substr(static_cast<std::size_t>(words[1].data() - line.data()));
      if (name.find("   ") < trimmed(name).size()) {
        log_.warn(number, 1, "name-blank", "a long name with blanks in it: two lines may have run together");
      }
      // The first stands.
      if (drafts_.aliases.add(words[0]) == drafts_.long_names.size())
        drafts_.long_names.push_back(trimmed(name));
      return;
    }
    if (line[0] == 'C') {
      if (drafts_.writer.empty() && line.find("IPC-D-356") != std::string_view::npos)
        drafts_.writer = name_text(drafts_, trimmed(line.substr(1)));
      return;
    }
    if (words[0] != "JOB" && words[0] != "TITLE") check_end(line, number, 80);
    if (words[0] == "UNITS") {
      read_units(words, number);
    } else if (words[0] == "VER" && words.size() > 1) {
      drafts_.version = name_text(drafts_, words[1]);
    } else if (words[0] == "arrayDim") {
      drafts_.array_dim = true;
    } else if ((words[0] == "TITLE" || words[0] == "JOB") && words.size() > 1) {
      std::string& text = words[0] == "TITLE" ? drafts_.title : drafts_.job;
      const auto at = static_cast<std::size_t>(words[1].data() - line.data());
      if (text.empty()) text = name_text(drafts_, trimmed(line.substr(at)));
    }
  }

  void read_units(const std::vector<std::string_view>& words, std::size_t number) {
    const std::string_view system = words.size() > 1 ? words[1] : "";
    const std::string_view kind = words.size() > 2 ? words[2] : "0";
    drafts_.units_stated = true;
    if (system == "SI" || (system == "CUST" && kind == "1")) {
      drafts_.unit = 1'000;
    } else if (system == "CUST" && (kind == "0" || kind == "2")) {
      drafts_.unit = kNmPerTenthMil;
      drafts_.radians = kind == "2";
    } else {
      log_.warn(number, 1, "units", "these units are not defined: 0.0001 inch was taken");
    }
  }

  void read_feature(std::string_view text, int code, std::size_t number) {
    const bool head = code >= 100;
    if (!head && head_lost_) {
      log_.warn(number, 1, "continuation", "this continues a record that was not read: skipped with it");
      return;
    }
    const Line line(text, buffer_);
    Findings findings;
    const Record record = read_record(line, code, findings);
    head_lost_ = head_lost_ || head;  // until all is well
    if (findings.bad_column > 0) {
      log_.warn(number, findings.bad_column, "number",
                fmt::format("\"{}\" is no number: the record is skipped",
                            name_text(drafts_, trimmed(findings.bad_field))));
      return;
    }
    if (!findings.has_place) {
      log_.warn(number, 42, "place", "a record without X and Y: skipped");
      return;
    }
    if (head) head_lost_ = false;
    if (findings.negative_column > 0) {
      log_.warn(number, findings.negative_column, "size", "a size below zero: taken as not stated");
    }
    if (code == 327 && record.measures.access < 0) {
      log_.warn(number, 39, "access", "a surface record that does not say its side: taken as top");
    }
    constexpr std::size_t kColumns = 80;
    check_end(line.text(), number, kColumns + (findings.shifted ? 8 : 0));
    if (findings.shifted && !shift_said_) {
      shift_said_ = true;
      log_.warn(number, 42, "columns", "the coordinates stand beside their columns: they were looked for");
    }
    Feature feature{record.measures, static_cast<std::uint32_t>(number)};
    if (head) add_names(record, feature);
    drafts_.tally.add(feature);
    drafts_.features.push_back(feature);
  }

  // Of a record that begins a pin, a via, a hole; those that go on with it have its names.
  void add_names(const Record& record, Feature& feature) {
    feature.net = net_number(record.net);
    if (record.reference.empty()) return;
    if (record.reference == "VIA") {
      feature.part = kViaName;
    } else if (!record.pin.empty() && record.reference != "NOREF") {
      feature.part = drafts_.references.add(record.reference);
      feature.pin = drafts_.numbers.add(record.pin);
      ++drafts_.pins;
    }
  }

  Index net_number(std::string_view name) {
    return name.empty() || name == "N/C" ? kNone : drafts_.nets.add(name);
  }

  // 378 conductors and 389 outlines: a chain of coordinates, X or Y left out repeats the last.
  void read_conductor(std::string_view text, int code, std::size_t number) {
    if (code == 378 || code == 389) {
      head_lost_ = true;
      chain_open_ = true;
      last_ = {};
      Chain head;
      head.line = static_cast<std::uint32_t>(number);
      head.outline = code == 389;
      const auto name = trimmed(text.substr(std::min<std::size_t>(3, text.size()), 14));
      if (!head.outline && text.size() >= 21 && text[18] == 'L') {
        head.layer = static_cast<std::int16_t>(field_number(text.substr(19, 2)).value_or(0));
      }
      if (!head.outline && head.layer < 1) {
        log_.warn(number, 19, "layer", "a conductor that names no layer: skipped");
      }
      if (head.outline && !is_outline(name)) {
        log_.warn(number, 4, "outline", "an outline of a kind that is not defined: skipped");
      }
      head.board_edge = head.outline && name == "BOARD_EDGE";
      if (!head.outline) head.net = net_number(name);
      drafts_.tally.layer = std::max<int>(drafts_.tally.layer, head.layer);
      conductor_ = head;
      read_chain(text.size() > 21 ? text.substr(21) : std::string_view(), number, true);
      return;
    }
    if (!chain_open_) {
      log_.warn(number, 1, "continuation", "this continues a record that was not read: skipped with it");
      return;
    }
    read_chain(text.substr(3), number, false);
  }

  static bool is_outline(std::string_view kind) {
    return kind == "BOARD_EDGE" || kind == "PANEL_EDGE" || kind == "SCORE_LINE" || kind == "OTHER_FAB";
  }

  void read_chain(std::string_view text, std::size_t number, bool head) {
    Groups groups(text);
    auto group = groups.next();
    bool negative = false;
    if (head) {
      // The aperture comes first, but 389 may do without: a pair that single coordinates follow is a point.
      const auto second = group ? groups.next() : std::nullopt;
      const bool bare = conductor_.outline && second && group->x && group->y && !(second->x && second->y);
      const auto aperture = group && !bare ? static_cast<std::int32_t>(group->x.value_or(0)) : 0;
      negative = aperture < 0;
      conductor_.width = std::max(0, aperture);
      drafts_.chains.push_back(conductor_);
      if (bare) add_point(*group);
      group = second;
    }
    for (; group; group = groups.next()) add_point(*group);
    if (!groups.good()) {
      log_.warn(number, 1, "conductor", "a coordinate chain that cannot be read: the rest of it is skipped");
      chain_open_ = false;
    }
    if (negative) log_.warn(number, 22, "size", "a size below zero: taken as not stated");
  }

  void add_point(const Groups::Group& group) {
    Chain* chain = &drafts_.chains.back();
    if (group.lift) {
      if (chain->points > 0) drafts_.chains.push_back(conductor_);
      return;
    }
    if (group.x) last_.x = static_cast<std::int32_t>(*group.x);
    if (group.y) last_.y = static_cast<std::int32_t>(*group.y);
    drafts_.points.push_back(last_);
    ++chain->points;
    chain->reach = std::max({chain->reach, std::abs(last_.x), std::abs(last_.y)});
  }

  Drafts& drafts_;
  Diagnostics& log_;
  std::string buffer_;
  std::map<int, std::size_t> unknown_;
  bool shift_said_ = false;
  bool head_lost_ = true;    // 017 and 027 that follow have nothing to belong to
  bool chain_open_ = false;  // 078 and 089 that follow have a conductor or an outline to go on with
  Chain conductor_;          // as its chains begin
  DraftPoint last_;
};

}  // namespace

Drafts read_lines(std::string_view bytes, Diagnostics& log) {
  Drafts drafts;
  LineReader(drafts, log).read(bytes);
  return drafts;
}

}  // namespace landfall::importers::ipc_d_356
