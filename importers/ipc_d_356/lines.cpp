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

class LineReader {
 public:
  LineReader(Drafts& drafts, Diagnostics& log, std::deque<std::string>& kept)
      : drafts_(drafts), log_(log), kept_(kept) {}

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
      drafts_.long_names.try_emplace(std::string(words[0]), name_text(drafts_, trimmed(name)));
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
    Record record = read_record(line, code, findings);
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
    if (code == 327 && record.access < 0) {
      log_.warn(number, 39, "access", "a surface record that does not say its side: taken as top");
    }
    constexpr std::size_t kColumns = 80;
    check_end(line.text(), number, kColumns + (findings.shifted ? 8 : 0));
    if (findings.shifted && !shift_said_) {
      shift_said_ = true;
      log_.warn(number, 42, "columns", "the coordinates stand beside their columns: they were looked for");
    }
    if (line.text().data() == buffer_.data()) keep(record);
    drafts_.features.push_back({record, number});
  }

  // A line with tabs was filled up in a buffer that the next one overwrites: its names are copied.
  void keep(Record& record) {
    for (std::string_view* view : {&record.net, &record.reference, &record.pin}) {
      if (!view->empty()) *view = kept_.emplace_back(*view);
    }
  }

  // 378 conductors and 389 outlines: a chain of coordinates, X or Y left out repeats the last.
  void read_conductor(std::string_view text, int code, std::size_t number) {
    if (code == 378 || code == 389) {
      head_lost_ = true;
      chain_open_ = true;
      last_ = {};
      Conductor head;
      head.line = number;
      head.outline = code == 389;
      head.net = trimmed(text.substr(std::min<std::size_t>(3, text.size()), 14));
      if (!head.outline && text.size() >= 21 && text[18] == 'L') {
        head.layer = static_cast<int>(field_number(text.substr(19, 2)).value_or(0));
      }
      if (!head.outline && head.layer < 1) {
        log_.warn(number, 19, "layer", "a conductor that names no layer: skipped");
      }
      if (head.outline && !is_outline(head.net)) {
        log_.warn(number, 4, "outline", "an outline of a kind that is not defined: skipped");
      }
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

  struct Group {
    std::optional<std::int64_t> x, y;
    bool lift = false;
  };

  static std::vector<Group> groups_of(std::string_view text, bool& good) {
    std::vector<Group> groups;
    bool blank = true;
    for (std::size_t i = 0; i < text.size();) {
      const char c = text[i];
      if (c == ' ') {
        blank = true;
        ++i;
        continue;
      }
      if (c == '*') {
        groups.push_back({std::nullopt, std::nullopt, true});
        ++i;
        continue;
      }
      std::size_t end = i + 1;
      while (end < text.size() &&
             (text[end] == '+' || text[end] == '-' || (text[end] >= '0' && text[end] <= '9')))
        ++end;
      const auto value = field_number(text.substr(i + 1, end - i - 1));
      const bool ends =
          end == text.size() || std::string_view(" XY*").find(text[end]) != std::string_view::npos;
      if ((c != 'X' && c != 'Y') || !value || !ends ||
          std::abs(*value) > kFarthest / 1'000) {  // the finest unit is 1000 nm
        good = false;
        return groups;
      }
      if (c == 'Y' && !blank && !groups.empty() && groups.back().x && !groups.back().y) {
        groups.back().y = value;
      } else if (c == 'X') {
        groups.push_back({value, std::nullopt, false});
      } else {
        groups.push_back({std::nullopt, value, false});
      }
      blank = false;
      i = end;
    }
    return groups;
  }

  void read_chain(std::string_view text, std::size_t number, bool head) {
    bool good = true;
    const auto groups = groups_of(text, good);
    if (!good) {
      log_.warn(number, 1, "conductor", "a coordinate chain that cannot be read: the rest of it is skipped");
      chain_open_ = false;
    }
    std::size_t first = 0;
    // The aperture comes first, but 389 may do without: a pair that single coordinates follow is a point.
    const bool bare = head && conductor_.outline && groups.size() > 1 && groups[0].x && groups[0].y &&
                      !(groups[1].x && groups[1].y);
    const bool pair_aperture = head && !bare && !groups.empty();
    if (pair_aperture) {
      conductor_.width = groups[0].x.value_or(0);
      if (conductor_.width < 0) {
        log_.warn(number, 22, "size", "a size below zero: taken as not stated");
        conductor_.width = 0;
      }
      first = 1;
    }
    if (head) start_chain();
    for (std::size_t i = first; i < groups.size(); ++i) {
      if (groups[i].lift) {
        start_chain();
        continue;
      }
      last_.x = groups[i].x.value_or(last_.x);
      last_.y = groups[i].y.value_or(last_.y);
      drafts_.conductors.back().points.push_back(last_);
    }
  }

  void start_chain() { drafts_.conductors.push_back(conductor_); }

  Drafts& drafts_;
  Diagnostics& log_;
  std::deque<std::string>& kept_;
  std::string buffer_;
  std::map<int, std::size_t> unknown_;
  bool shift_said_ = false;
  bool head_lost_ = true;    // 017 and 027 that follow have nothing to belong to
  bool chain_open_ = false;  // 078 and 089 that follow have a conductor or an outline to go on with
  Conductor conductor_;
  Point last_;
};

}  // namespace

Drafts read_lines(std::string_view bytes, Diagnostics& log, std::deque<std::string>& kept) {
  Drafts drafts;
  LineReader(drafts, log, kept).read(bytes);
  return drafts;
}

}  // namespace landfall::importers::ipc_d_356
