#include <fmt/format.h>

#include "importers/kicad_library/kicad_library.hpp"
#include "importers/kicad_library/symbols.hpp"
#include "importers/text/decode.hpp"
#include "importers/text/name_guard.hpp"
#include "netdb/model/units.hpp"

// The line form of before KiCad 6, .lib: DEF ... X NAME NUMBER X Y LENGTH TURN SIZE SIZE UNIT STYLE TYPE ...
// ENDDEF. From KiCad's documentation of its legacy file formats.

namespace landfall::importers {
namespace kicad_library {
namespace {

constexpr std::string_view kHead = "EESchema-LIBRARY";

// Words apart by blanks; a quoted one may hold blanks.
std::vector<std::string> words_of(std::string_view line) {
  std::vector<std::string> words;
  for (std::size_t i = 0; i < line.size();) {
    if (line[i] == ' ' || line[i] == '\t') {
      ++i;
      continue;
    }
    std::string word;
    if (line[i] == '"') {
      for (++i; i < line.size() && line[i] != '"'; ++i) {
        if (line[i] == '\\' && i + 1 < line.size()) ++i;
        word += line[i];
      }
      ++i;
    } else {
      while (i < line.size() && line[i] != ' ' && line[i] != '\t') word += line[i++];
    }
    words.push_back(guarded_name(word).text);
  }
  return words;
}

class Reader {
 public:
  Reader(Library& library, Diagnostics& log) : library_(library), log_(log) {}

  bool run(std::string_view text) {
    std::size_t number = 0;
    while (!text.empty()) {
      const auto end = text.find('\n');
      const std::string_view line = text.substr(0, end);
      text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
      ++number;
      if (number == 1) {
        const auto words = words_of(line);
        if (words.size() > 2) library_.version = words[2];
      } else if (!line.empty() && line.front() != '#') {
        read_line(words_of(line), number);
      }
    }
    if (!open_) return true;
    log_.error(started_, 1, "text",
               fmt::format("symbol {} is not closed: the file is cut off", symbol_.name));
    return false;
  }

 private:
  void read_line(const std::vector<std::string>& words, std::size_t number) {
    if (words.empty()) return;
    if (words[0] == "DEF" && words.size() > 1) {
      symbol_ = {};
      aliases_.clear();
      // A '~' in front means that the name is not drawn.
      symbol_.name = words[1].size() > 1 && words[1].front() == '~' ? words[1].substr(1) : words[1];
      open_ = true;
      started_ = number;
    } else if (words[0] == "ENDDEF" && open_) {
      library_.symbols.push_back(symbol_);
      for (const std::string& alias : aliases_)
        library_.symbols.push_back({alias, symbol_.name, symbol_.footprint, {}});
      open_ = false;
    } else if (words[0] == "F2" && words.size() > 1 && open_) {
      symbol_.footprint = words[1] == "~" ? std::string() : words[1];
    } else if (words[0] == "ALIAS" && open_) {
      aliases_.insert(aliases_.end(), words.begin() + 1, words.end());
    } else if (words[0] == "X" && open_) {
      read_pin(words, number);
    }
  }

  void read_pin(const std::vector<std::string>& words, std::size_t number) {
    constexpr std::size_t kLeast = 12;
    if (words.size() < kLeast) {
      log_.warn(number, 1, "pin", "a pin with too few fields: skipped");
      return;
    }
    const auto style = parse_integer(words[10]);
    if (style && *style >= 2) return;
    symbol_.pins.push_back({words[2], words[1], words[11], number, 1});
  }

  Library& library_;
  Diagnostics& log_;
  Symbol symbol_;
  std::vector<std::string> aliases_;
  bool open_ = false;
  std::size_t started_ = 0;
};

}  // namespace
}  // namespace kicad_library

bool is_kicad_old_symbols(std::string_view bytes) {
  if (bytes.starts_with("\xEF\xBB\xBF")) bytes.remove_prefix(3);
  return bytes.starts_with(kicad_library::kHead);
}

std::optional<Design> read_kicad_old_symbols(std::string_view bytes, Diagnostics& log,
                                             const ReadOptions& options) {
  kicad_library::Library library;
  if (!kicad_library::Reader(library, log).run(decode_text(bytes))) return std::nullopt;
  return kicad_library::part_of(library, log, options);
}

}  // namespace landfall::importers
