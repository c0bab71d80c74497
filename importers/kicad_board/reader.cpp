#include "importers/kicad_board/reader.hpp"

#include <fmt/format.h>

#include "importers/kicad_board/kicad_board.hpp"
#include "importers/text/kicad_words.hpp"
#include "importers/text/name_guard.hpp"
#include "netdb/model/counted.hpp"

namespace landfall::importers {
namespace kicad_board {
namespace {

constexpr std::int64_t kNewestKnown = 20260206;

}  // namespace

void Reader::warn(std::size_t offset, std::string_view code, std::string message) {
  const Place place = in_.place_of(offset);
  log_.warn(place.line, place.column, code, std::move(message));
}

std::optional<Nm> Reader::length() {
  const Field field = in_.atom();
  const auto value = field ? parse_mm(field.text) : std::nullopt;
  if (!value) bad_ = true;
  return value;
}

std::optional<Nm> Reader::size() {
  const auto value = length();
  if (value && *value >= 0) return value;
  bad_ = true;
  return std::nullopt;
}

std::optional<Point> Reader::point() {
  const auto x = length();
  const auto y = length();
  if (!x || !y) return std::nullopt;
  return Point{*x, -*y};
}

std::optional<double> Reader::number() {
  const Field field = in_.atom();
  const auto value = field ? parse_decimal(field.text) : std::nullopt;
  if (!value) bad_ = true;
  return value;
}

bool Reader::flag() {
  const Field field = in_.atom();
  const bool yes = !field || field.text == "yes" || field.text == "true";
  in_.leave();
  return yes;
}

std::string Reader::text() {
  const Field field = in_.atom();
  GuardedName name = guarded_name(field.text);
  if (name.cut) warn(field.offset, "name-long", "a name of more than 1000 bytes was cut");
  return std::move(name.text);
}

void Reader::skip(std::string_view word, std::size_t offset) {
  if (!is_known_word(word) && ++unknown_[std::string(word.substr(0, 60))] == 1) {
    warn(offset, "unknown",
         fmt::format("({} ...) is not known here: such lists are skipped",
                     guarded_name(word.substr(0, 60)).text));
  }
  in_.leave();
}

Index Reader::net_named(std::string_view name) {
  if (name.empty()) return kNone;
  GuardedName guarded = guarded_name(name);
  if (guarded.cut) log_.warn(0, 0, "name-long", "a net's name of more than 1000 bytes was cut");
  const auto [entry, fresh] =
      net_by_name_.try_emplace(std::move(guarded.text), static_cast<Index>(board_.nets.size()));
  if (fresh) {
    Net net;
    net.name = entry->first;
    net.automatic = is_automatic_net_name(leaf_name(net.name));
    board_.nets.push_back(std::move(net));
  }
  return entry->second;
}

Index Reader::net_reference() {
  const Field first = in_.atom();
  if (!first) {
    in_.leave();
    return kNone;
  }
  const bool quoted = first.quoted;
  const auto code = quoted ? std::nullopt : parse_integer(first.text);
  const std::size_t offset = first.offset;
  std::string own(first.text);
  const Field second = in_.atom();
  const bool has_name = static_cast<bool>(second);
  const std::string name(second.text);
  in_.leave();
  if (has_net_table_ && !quoted && !code && (has_name || !net_by_name_.contains(own))) {
    warn(offset, "net-unknown",
         fmt::format("{} is no number of the table of nets: {}", guarded_name(own).text,
                     has_name ? "the name beside it was taken" : "taken as no net"));
    return has_name ? net_named(name) : kNone;
  }
  if (!code || (!has_name && !has_net_table_)) return net_named(own);
  const auto known = net_by_code_.find(*code);
  if (known == net_by_code_.end()) {
    if (*code == 0 && name.empty()) return kNone;
    warn(offset, "net-unknown", fmt::format("net {} is not in the table of nets: taken as no net", *code));
    return has_name ? net_named(name) : kNone;
  }
  const std::string_view table =
      known->second == kNone ? "" : std::string_view(board_.nets[known->second].name);
  if (has_name && name != table && guarded_name(name).text != table) {
    warn(offset, "net-name",
         fmt::format("net {} is called {} here and \"{}\" in the table: the table stands", *code,
                     guarded_name(name).text, table));
  }
  return known->second;
}

void Reader::read_section(std::string_view name, std::size_t offset) {
  if (name == "segment") return read_segment(offset);
  if (name == "via") return read_via(offset);
  if (name == "footprint" || name == "module") return read_footprint(offset);
  if (name == "zone") return read_zone(offset);
  if (name == "arc") return read_arc(offset);
  if (name == "net") return read_net();
  if (name == "layers") return read_layers();
  if (name == "net_class") return read_net_class();
  if (name == "setup") return read_setup();
  if (name == "title_block") return read_title_block();
  if (name == "gr_line" || name == "gr_arc" || name == "gr_circle" || name == "gr_rect" ||
      name == "gr_poly" || name == "gr_curve") {
    if (const auto drawing = read_drawing(name, offset)) add_drawing(*drawing);
    return;
  }
  if (name == "version") {
    version_text_ = text();
    version_ = parse_integer(version_text_).value_or(0);
    if (version_ <= 0) warn(offset, "version", "the version is no number: the newest layout was taken");
    if (version_ <= 0) version_ = kNewestKnown;
    if (version_ > kNewestKnown) {
      warn(
          offset, "version-new",
          fmt::format("version {} is newer than those known here: read as far as understood", version_text_));
    }
  } else if (name == "host" || name == "generator") {
    writer_ = text();
    if (const Field more = in_.atom()) {
      writer_ += ' ';
      writer_ += more.text;
    }
  } else if (name == "general") {
    while (const Field field = in_.next()) {
      if (!field.list()) continue;
      if (field.text == "thickness") board_.thickness = length().value_or(0);
      in_.leave();
    }
    if (bad_) warn(offset, "number", "the board's thickness is no length: left out");
    return;
  } else {
    return skip(name, offset);
  }
  in_.leave();
}

std::optional<Design> Reader::run() {
  if (!in_.enter("kicad_pcb")) {
    log_.error(1, 1, "format", "this is no KiCad board");
    return std::nullopt;
  }
  while (const Field field = in_.next()) {
    if (!field.list()) continue;
    const std::string name(field.text);  // the view ends with the next question
    const std::size_t offset = field.offset;
    bad_ = false;
    if (!log_.goes_on(offset)) return std::nullopt;
    read_section(name, offset);
  }
  if (in_.at_fault()) {
    const Place place = in_.fault_place();
    log_.error(place.line, place.column, "text", in_.fault());
    return std::nullopt;
  }
  if (const auto more = in_.text_after()) {
    const Place place = in_.place_of(*more);
    log_.error(place.line, place.column, "text", "the board's list ends before this: a parenthesis is amiss");
    return std::nullopt;
  }
  if (const auto quote = in_.stray_quote()) {
    warn(*quote, "quote",
         "a quote in the middle of a word: one may be missing before it, and what follows it lost");
  }
  finish();
  return Design{"kicad-board", version_text_, writer_, std::move(board_)};
}

void Reader::finish() {
  for (const Index via : vias_without_drill_) {
    Via& v = board_.vias[via];
    const auto own =
        v.net == kNone ? class_drill_by_net_.end() : class_drill_by_net_.find(board_.nets[v.net].name);
    v.drill = own == class_drill_by_net_.end() ? default_drill_ : own->second;
  }
  if (repeated_references_ > 0) {
    log_.warn(
        0, 0, "reference-repeated",
        fmt::format(
            "{} without a reference or with one that another has: kept apart as NAME#2, NAME#3 and so on",
            count_of(repeated_references_, "footprint")));
  }
  if (board_.layers.empty()) log_.warn(0, 0, "layers", "the file has no table of copper layers");
}

}  // namespace kicad_board

std::optional<Design> read_kicad_board(std::string_view bytes, Diagnostics& log) {
  return kicad_board::Reader(bytes, log, false).run();
}

std::optional<Design> read_board_of_one_footprint(std::string_view bytes, Diagnostics& log) {
  return kicad_board::Reader(bytes, log, true).run();
}

}  // namespace landfall::importers
