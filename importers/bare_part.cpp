#include "importers/bare_part.hpp"

#include <algorithm>
#include <array>
#include <map>
#include <set>
#include <utility>

#include <fmt/format.h>

#include "importers/text/kicad_words.hpp"
#include "importers/text/name_guard.hpp"
#include "netdb/model/ball_name.hpp"
#include "netdb/model/counted.hpp"

namespace landfall::importers {
namespace {

constexpr std::size_t kListed = 12;

std::string upper(std::string_view text) {
  std::string out(text);
  for (char& c : out) c = c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
  return out;
}

}  // namespace

bool names_no_pin(std::string_view name) {
  std::string plain = upper(plain_name(name));
  while (!plain.empty() && (plain.back() == '_' || (plain.back() >= '0' && plain.back() <= '9')))
    plain.pop_back();
  static constexpr std::array<std::string_view, 11> kNames{"NC",  "N/C", "DNU",      "NU",   "NF",    "RFU",
                                                           "DNC", "DNI", "RESERVED", "RSVD", "NO_PIN"};
  return plain.empty() || plain == "-" || std::find(kNames.begin(), kNames.end(), plain) != kNames.end();
}

PinType pin_type_word(std::string_view word) {
  if (const PinType own = pin_type_named(word); own != PinType::kUnknown) return own;
  const std::string text = upper(word);
  static constexpr std::array<std::pair<std::string_view, PinType>, 36> kWords{{
      {"IN", PinType::kInput},
      {"I", PinType::kInput},
      {"INPUT", PinType::kInput},
      {"CLOCK INPUT", PinType::kInput},
      {"OUT", PinType::kOutput},
      {"O", PinType::kOutput},
      {"OUTPUT", PinType::kOutput},
      {"BUFFER", PinType::kOutput},
      {"INOUT", PinType::kBidirectional},
      {"IO", PinType::kBidirectional},
      {"I/O", PinType::kBidirectional},
      {"B", PinType::kBidirectional},
      {"BIDIR", PinType::kBidirectional},
      {"BIDIRECTIONAL", PinType::kBidirectional},
      {"INPUT/OUTPUT", PinType::kBidirectional},
      {"IN/OUT", PinType::kBidirectional},
      {"TRI-STATE", PinType::kTristate},
      {"3-STATE", PinType::kTristate},
      {"PASSIVE", PinType::kPassive},
      {"POWER", PinType::kPowerIn},
      {"PWR", PinType::kPowerIn},
      {"SUPPLY", PinType::kPowerIn},
      {"GROUND", PinType::kPowerIn},
      {"GND", PinType::kPowerIn},
      {"POWER INPUT", PinType::kPowerIn},
      {"POWER OUTPUT", PinType::kPowerOut},
      {"P", PinType::kPowerIn},
      {"OPEN DRAIN", PinType::kOpenDrain},
      {"OPEN COLLECTOR", PinType::kOpenDrain},
      {"OD", PinType::kOpenDrain},
      {"NC", PinType::kNotConnected},
      {"N/C", PinType::kNotConnected},
      {"UNCONNECTED", PinType::kNotConnected},
      {"NO CONNECT", PinType::kNotConnected},
      {"NOT CONNECTED", PinType::kNotConnected},
      {"DNU", PinType::kNotConnected},
  }};
  for (const auto& [name, type] : kWords) {
    if (name == text) return type;
  }
  return PinType::kUnknown;
}

void BarePart::add(Entry entry) {
  GuardedName number = guarded_name(entry.pin);
  GuardedName function = guarded_name(entry.function);
  if (number.cut || function.cut)
    log_.warn(entry.line, entry.column, "name-long", "a name of more than 1000 bytes was cut");
  const auto [pin, fresh] = pin_by_number_.try_emplace(number.text, static_cast<Index>(board_.pins.size()));
  if (!fresh) {
    const std::string& before = board_.pins[pin->second].function;
    if (before != function.text) {
      log_.warn(entry.line, entry.column, "pin-twice",
                fmt::format("{} stands twice, as {} and as {}: the first stands", number.text, before,
                            function.text));
    }
    return;
  }
  net_names_.push_back(std::move(entry.net));
  board_.pins.push_back({0, std::move(number.text), std::move(function.text), entry.type, kNone});
}

void BarePart::rename(const std::string& pin, std::string function) {
  const auto known = pin_by_number_.find(pin);
  if (known != pin_by_number_.end()) board_.pins[known->second].function = guarded_name(function).text;
}

std::pair<std::string, std::size_t> BarePart::commonest() const {
  std::unordered_map<std::string_view, std::size_t> uses;
  std::pair<std::string, std::size_t> best;
  for (const Pin& pin : board_.pins) {
    if (const std::size_t own = ++uses[pin.function]; own > best.second) best = {pin.function, own};
  }
  return best;
}

void BarePart::make_nets() {
  std::unordered_map<std::string, Index> net_by_name;
  for (std::size_t i = 0; i < board_.pins.size(); ++i) {
    Pin& pin = board_.pins[i];
    const std::string name = net_names_[i].empty() ? pin.function : guarded_name(net_names_[i]).text;
    if (name.empty() || pin.type == PinType::kNotConnected || names_no_pin(name)) continue;
    const auto [known, fresh] = net_by_name.try_emplace(name, static_cast<Index>(board_.nets.size()));
    if (fresh) {
      Net net;
      net.name = name;
      board_.nets.push_back(std::move(net));
    }
    pin.net = known->second;
  }
}

void BarePart::note_grid(std::vector<std::string>& notes) const {
  std::set<Site> sites;
  std::set<int> rows;
  std::set<int> columns;
  for (const Pin& pin : board_.pins) {
    const auto site = parse_ball(pin.number);
    if (!site) return;  // no plain grid: nothing can be said of missing sites
    sites.insert(*site);
    rows.insert(site->row);
    columns.insert(site->column);
  }
  if (rows.size() < 2 || columns.size() < 2) return;
  const std::size_t places =
      static_cast<std::size_t>(*rows.rbegin()) * static_cast<std::size_t>(*columns.rbegin());
  if (places > 40'000) return;
  std::string missing;
  std::size_t count = 0;
  for (int row = 1; row <= *rows.rbegin(); ++row) {
    for (int column = 1; column <= *columns.rbegin(); ++column) {
      if (sites.contains({row, column})) continue;
      if (++count <= kListed) missing += (missing.empty() ? "" : ", ") + ball_text({row, column});
    }
  }
  std::string note =
      fmt::format("a grid of {} ({} to {}) and {}", count_of(rows.size(), "row"), row_letters(*rows.begin()),
                  row_letters(*rows.rbegin()), count_of(columns.size(), "column"));
  if (count > 0)
    note += fmt::format("; {} without a ball: {}{}", count_of(count, "site"), missing,
                        count > kListed ? " ..." : "");
  notes.push_back(std::move(note));
}

Board BarePart::finish(std::string value, std::string package, std::vector<std::string>& notes) {
  make_nets();
  Part part;
  part.reference = "U1";
  part.value = guarded_name(value).text;
  part.footprint = guarded_name(package).text;
  board_.parts.push_back(std::move(part));
  notes.push_back(fmt::format("{}, {} {}", count_of(board_.pins.size(), "pin"),
                              count_of(board_.nets.size(), "name"),
                              board_.nets.size() == 1 ? "that connects" : "that connect"));
  note_grid(notes);
  std::vector<std::size_t> uses(board_.nets.size(), 0);
  for (const Pin& pin : board_.pins) {
    if (pin.net != kNone) ++uses[pin.net];
  }
  std::vector<std::size_t> often;
  for (std::size_t i = 0; i < uses.size(); ++i) {
    if (uses[i] > 1) often.push_back(i);
  }
  std::stable_sort(often.begin(), often.end(),
                   [&](std::size_t a, std::size_t b) { return uses[a] > uses[b]; });
  std::string names;
  for (std::size_t i = 0; i < often.size() && i < kListed; ++i)
    names += fmt::format("{}{} ({})", i == 0 ? "" : ", ", board_.nets[often[i]].name, uses[often[i]]);
  if (!often.empty()) {
    notes.push_back(fmt::format("{} at several pins, taken as joined: {}{}", count_of(often.size(), "name"),
                                names, often.size() > kListed ? " ..." : ""));
  }
  return std::move(board_);
}

}  // namespace landfall::importers
