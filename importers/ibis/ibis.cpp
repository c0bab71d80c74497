#include "importers/ibis/ibis.hpp"

#include <algorithm>
#include <cctype>
#include <map>
#include <utility>

#include <fmt/format.h>

#include "importers/bare_part.hpp"
#include "importers/text/decode.hpp"
#include "importers/text/name_guard.hpp"
#include "netdb/model/counted.hpp"

namespace landfall::importers {
namespace {

constexpr std::size_t kListed = 8;

struct PinRow {
  std::string_view pin, signal, model;
  std::size_t line = 0;
};

struct Pair {
  std::string_view pin, inverted;
  std::size_t line = 0;
};

struct Component {
  std::string name;
  std::vector<PinRow> pins;
  std::vector<Pair> pairs;
};

// A keyword's inside: lower case, '_' as blank.
std::string keyword_of(std::string_view line) {
  if (line.empty() || line.front() != '[') return {};
  const auto end = line.find(']');
  if (end == std::string_view::npos) return {};
  std::string word;
  for (const char c : line.substr(1, end - 1)) {
    const char own = c == '_' ? ' ' : c;
    word += own >= 'A' && own <= 'Z' ? static_cast<char>(own - 'A' + 'a') : own;
  }
  return word;
}

std::string_view trimmed(std::string_view text) {
  const auto first = text.find_first_not_of(" \t\r");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t\r") - first + 1);
}

std::string_view after_keyword(std::string_view line) {
  const auto end = line.find(']');
  return end == std::string_view::npos ? std::string_view() : trimmed(line.substr(end + 1));
}

std::vector<std::string_view> words_of(std::string_view line) {
  std::vector<std::string_view> words;
  while (true) {
    const auto first = line.find_first_not_of(" \t\r");
    if (first == std::string_view::npos) return words;
    line.remove_prefix(first);
    const auto end = line.find_first_of(" \t\r");
    words.push_back(line.substr(0, end));
    if (end == std::string_view::npos) return words;
    line.remove_prefix(end);
  }
}

std::string lower(std::string_view text) {
  std::string out(text);
  for (char& c : out) c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  return out;
}

PinType type_of_model(std::string_view word) {
  const std::string type = lower(word);
  if (type.starts_with("i/o") || type.find("_ecl") != std::string::npos) return PinType::kBidirectional;
  if (type == "input" || type == "terminator" || type == "input_diff") return PinType::kInput;
  if (type == "output" || type == "output_diff") return PinType::kOutput;
  if (type.starts_with("3-state")) return PinType::kTristate;
  if (type.starts_with("open")) return PinType::kOpenDrain;
  return type == "series" || type == "series_switch" ? PinType::kPassive : PinType::kUnknown;
}

class Reader {
 public:
  Reader(std::string_view text, Diagnostics& log) : text_(text), log_(log) {}

  std::optional<Design> run(const ReadOptions& options) {
    read_lines();
    std::erase_if(components_, [](const Component& c) { return c.pins.empty(); });
    if (components_.empty()) {
      log_.error(1, 1, "format", "no component of this IBIS file has a list of pins");
      return std::nullopt;
    }
    if (!ended_) log_.warn(0, 0, "end", "the file does not end with [End]: it may be cut off");
    name_apart();
    const Component* chosen = choose(options.package);
    if (chosen == nullptr) return std::nullopt;
    BarePart part(log_);
    std::map<std::string_view, std::string_view> signal_of;
    for (const PinRow& row : chosen->pins) {
      part.add({std::string(row.pin), row.signal == "NA" ? std::string() : std::string(row.signal),
                type_of(row.model), "", row.line, 1});
      signal_of.emplace(row.pin, row.signal);
    }
    Design design;
    design.format = "ibis";
    design.version = guarded_name(version_).text;
    design.notes.push_back(
        fmt::format("component {}{}", chosen->name,
                    components_.size() > 1 ? fmt::format(", one of {}", components_.size()) : ""));
    std::string pairs;
    std::size_t count = 0;
    for (const Pair& pair : chosen->pairs) {
      if (!signal_of.contains(pair.pin) || !signal_of.contains(pair.inverted)) {
        log_.warn(pair.line, 1, "pair",
                  fmt::format("[Diff Pin] names {} and {}, of which one is in no list of pins",
                              guarded_name(pair.pin).text, guarded_name(pair.inverted).text));
        continue;
      }
      if (++count <= kListed)
        pairs +=
            fmt::format("{}{}/{}", count == 1 ? "" : ", ", signal_of[pair.pin], signal_of[pair.inverted]);
    }
    if (count > 0)
      design.notes.push_back(guarded_name(fmt::format("{}: {}{}", count_of(count, "differential pair"), pairs,
                                                      count > kListed ? " ..." : ""))
                                 .text);
    design.board = part.finish(chosen->name, "", design.notes);
    return design;
  }

 private:
  void read_lines() {
    std::string section;
    std::size_t number = 0;
    char comment = '|';
    for (std::string_view rest = text_; !rest.empty() && !ended_;) {
      const auto end = rest.find('\n');
      std::string_view line = rest.substr(0, end);
      rest.remove_prefix(end == std::string_view::npos ? rest.size() : end + 1);
      ++number;
      line = line.substr(0, line.find(comment));
      const std::string keyword = keyword_of(line);
      if (!keyword.empty()) {
        section = keyword;
        const std::string_view value = after_keyword(line);
        if (keyword == "comment char" && !value.empty()) {
          comment = value.front();
        } else if (keyword == "ibis ver") {
          version_ = value;
        } else if (keyword == "component") {
          components_.push_back({guarded_name(value).text, {}, {}});
        } else if (keyword == "model" || keyword == "model selector") {
          model_ = std::string(value);
        } else if (keyword == "end") {
          ended_ = true;
        }
        continue;
      }
      const auto words = words_of(line);
      if (!words.empty()) read_row(section, words, number);
    }
  }

  void read_row(const std::string& section, const std::vector<std::string_view>& words, std::size_t number) {
    if (section == "pin" && !components_.empty()) {
      if (words.size() < 3) {
        log_.warn(number, 1, "pin",
                  fmt::format("{}: a pin needs a signal and a model: skipped",
                              guarded_name(words[0].substr(0, 80)).text));
        return;
      }
      components_.back().pins.push_back({words[0], words[1], words[2], number});
    } else if (section == "diff pin" && !components_.empty() && words.size() >= 2) {
      components_.back().pairs.push_back({words[0], words[1], number});
    } else if (section == "model" && words.size() >= 2 && lower(words[0]) == "model_type") {
      model_types_.try_emplace(model_, words[1]);
    } else if (section == "model selector") {
      selected_.try_emplace(model_, words[0]);
    }
  }

  PinType type_of(std::string_view model) const {
    const std::string word = lower(model);
    if (word == "power" || word == "gnd") return PinType::kPowerIn;
    if (word == "nc") return PinType::kNotConnected;
    const auto selected = selected_.find(model);
    const auto known = model_types_.find(selected == selected_.end() ? model : selected->second);
    return known == model_types_.end() ? PinType::kUnknown : type_of_model(known->second);
  }

  void name_apart() {
    std::map<std::string, int> seen;
    for (Component& component : components_) {
      const int count = ++seen[component.name];
      if (count > 1) component.name += fmt::format("#{}", count);
    }
  }

  const Component* choose(const std::string& wanted) {
    if (wanted.empty() && components_.size() == 1) return &components_.front();
    std::string list;
    const Component* found = nullptr;
    for (const Component& component : components_) {
      if (!wanted.empty() && lower(component.name) == lower(wanted)) found = &component;
      list += fmt::format("{}{} ({})", list.empty() ? "" : ", ", component.name,
                          count_of(component.pins.size(), "pin"));
    }
    if (found != nullptr) return found;
    log_.error(0, 0, "choice",
               wanted.empty() ? fmt::format("the file has several components, --package picks one: {}", list)
                              : fmt::format("--package {} is none of the components: {}", wanted, list));
    return nullptr;
  }

  std::string_view text_;
  Diagnostics& log_;
  std::string_view version_;
  std::string model_;
  bool ended_ = false;
  std::vector<Component> components_;
  std::map<std::string, std::string_view, std::less<>> model_types_, selected_;
};

}  // namespace

bool is_ibis(std::string_view bytes) {
  if (bytes.starts_with("\xEF\xBB\xBF")) bytes.remove_prefix(3);
  for (int i = 0; i < 1000 && !bytes.empty(); ++i) {
    const auto end = bytes.find_first_of("\r\n");
    const std::string_view line = bytes.substr(0, end);
    const std::string keyword = keyword_of(line);
    if (keyword == "ibis ver") return true;
    if (!keyword.empty() && keyword != "comment char") return false;
    // Comments only may stand before it.
    if (keyword.empty() && !trimmed(line).empty() &&
        std::isalnum(static_cast<unsigned char>(trimmed(line).front())) != 0)
      return false;
    if (end == std::string_view::npos) return false;
    bytes.remove_prefix(end + 1);
  }
  return false;
}

std::optional<Design> read_ibis(std::string_view bytes, Diagnostics& log, const ReadOptions& options) {
  const std::string text = decode_text(bytes);
  return Reader(text, log).run(options);
}

}  // namespace landfall::importers
