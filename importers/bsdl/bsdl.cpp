#include "importers/bsdl/bsdl.hpp"

#include <map>
#include <utility>

#include <fmt/format.h>

#include "importers/bare_part.hpp"
#include "importers/bsdl/tokens.hpp"
#include "importers/text/decode.hpp"
#include "importers/text/name_guard.hpp"
#include "importers/text/xml.hpp"
#include "netdb/model/counted.hpp"
#include "netdb/model/units.hpp"

namespace landfall::importers {
namespace bsdl {
namespace {

constexpr std::int64_t kWidest = 100'000;  // members of one vector

struct Port {
  std::string name, direction;
  bool vector = false;
  std::int64_t from = 0, to = 0;
  [[nodiscard]] std::int64_t width() const { return vector ? (to > from ? to - from : from - to) + 1 : 1; }
  [[nodiscard]] std::int64_t member(std::int64_t i) const { return to >= from ? from + i : from - i; }
};

struct PinMap {
  std::string name;
  std::vector<Token> pieces;  // the strings that make it up
};

std::string lower(std::string_view text) {
  std::string out(text);
  for (char& c : out) c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  return out;
}

class Reader {
 public:
  Reader(std::string_view text, Diagnostics& log)
      : text_(text), log_(log), tokens_(tokens_of(text)), part_(log) {}

  std::optional<Design> run(const ReadOptions& options) {
    if (!word("entity")) return fail("format", "this is no BSDL file: it does not begin with an entity");
    entity_ = take().text;
    if (!word("is"))
      return fail("format", fmt::format("entity {}: \"is\" is missing", entity_.substr(0, 100)));
    bool ended = false;
    while (now().kind != Token::Kind::kEnd) {
      if (word("end")) {
        ended = sign(";") || (same_word(take().text, entity_) && sign(";"));
      } else if (word("generic")) {
        read_generic();
      } else if (word("port")) {
        read_ports();
      } else if (word("use")) {
        if (standard_.empty()) standard_ = take().text;
      } else if (word("constant")) {
        read_constant();
      } else {
        ++at_;
      }
    }
    if (!ended)
      warn(text_.size(), "no-end", "the file does not end with \"end NAME;\": what was cut off is missing");
    if (ports_.empty()) return fail("format", fmt::format("entity {} has no ports", entity_.substr(0, 100)));
    if (maps_.empty())
      return fail("format",
                  fmt::format("entity {} has no PIN_MAP_STRING: its ports are known, its pins are not",
                              entity_.substr(0, 100)));
    const PinMap* map = choose(options.package);
    if (map == nullptr) return std::nullopt;
    read_map(*map);
    for (const auto& [key, port] : ports_) {
      if (!mapped_.contains(key))
        log_.warn(0, 0, "port-unmapped",
                  fmt::format("port {} is not in the pin map {}", port.name, map->name));
    }
    if (part_.empty()) return fail("format", fmt::format("the pin map {} has no pins", map->name));
    Design design;
    design.format = "bsdl";
    const auto dot = standard_.find('.');
    design.version = guarded_name(standard_.substr(0, dot)).text;
    design.notes.push_back(fmt::format("{}, pin map {}{}", guarded_name(entity_).text, map->name,
                                       maps_.size() > 1 ? fmt::format(" of {}", list()) : ""));
    design.notes.emplace_back(
        "names are those of the boundary-scan ports, which a data sheet may call otherwise");
    design.board = part_.finish(std::string(entity_), map->name, design.notes);
    return design;
  }

 private:
  const Token& now() const {
    static const Token end_word{};
    return at_ < tokens_.size() ? tokens_[at_] : end_word;
  }
  Token take() {
    const Token token = now();
    if (at_ < tokens_.size()) ++at_;
    return token;
  }
  bool word(std::string_view text) {
    if (now().kind != Token::Kind::kWord || !same_word(now().text, text)) return false;
    ++at_;
    return true;
  }
  bool sign(std::string_view text) {
    if (now().kind != Token::Kind::kSign || now().text != text) return false;
    ++at_;
    return true;
  }

  std::nullopt_t fail(std::string_view code, std::string message) {
    const Place place = text_place(text_, now().kind == Token::Kind::kEnd ? 0 : now().offset);
    log_.error(place.line, place.column, code, std::move(message));
    return std::nullopt;
  }

  void warn(std::size_t offset, std::string_view code, std::string message) {
    const Place place = log_.count(code) < Diagnostics::kKept ? text_place(text_, offset) : Place{0, 0};
    log_.warn(place.line, place.column, code, std::move(message));
  }

  // generic ( PHYSICAL_PIN_MAP : string := "NAME" );
  void read_generic() {
    while (now().kind != Token::Kind::kEnd && !sign(";")) {
      const Token token = take();
      if (token.kind == Token::Kind::kString) default_map_ = std::string(token.text);
    }
  }

  // port ( A, B : in bit; D : inout bit_vector ( 0 to 7 ) );
  void read_ports() {
    if (!sign("(")) return;
    while (now().kind != Token::Kind::kEnd) {
      std::vector<Token> names;
      while (now().kind == Token::Kind::kWord) {
        names.push_back(take());
        if (!sign(",")) break;
      }
      if (!sign(":")) {
        warn(now().offset, "port", "a port list that cannot be read on from here");
        return;
      }
      Port port;
      port.direction = lower(take().text);
      const bool vector = same_word(take().text, "bit_vector");
      if (vector && !read_range(port)) {
        warn(now().offset, "port", "a vector whose range cannot be read: its ports are skipped");
        names.clear();
      }
      for (const Token& name : names) {
        port.name = guarded_name(name.text).text;
        if (!ports_.try_emplace(lower(port.name), port).second)
          warn(name.offset, "port", fmt::format("port {} stands twice: the first stands", port.name));
      }
      if (sign(";")) continue;
      sign(")");
      return;
    }
  }

  bool read_range(Port& port) {
    port.vector = true;
    const bool open = sign("(");
    const auto from = parse_integer(take().text);
    const bool up = word("to");
    const bool down = !up && word("downto");
    const auto to = parse_integer(take().text);
    while (now().kind != Token::Kind::kEnd && !sign(")")) {
      if (now().text == ";") return false;
      ++at_;
    }
    if (!open || !from || !to || (!up && !down) || *from < 0 || *to < 0 || *from > kWidest || *to > kWidest)
      return false;
    if (up ? *to < *from : *from < *to) return false;
    port.from = *from;
    port.to = *to;
    return true;
  }

  // constant NAME : PIN_MAP_STRING := "..." & "..." ;
  void read_constant() {
    PinMap map;
    map.name = guarded_name(take().text).text;
    if (!sign(":") || !word("PIN_MAP_STRING")) return;
    while (now().kind != Token::Kind::kEnd && !sign(";")) {
      const Token token = take();
      if (token.kind == Token::Kind::kString) map.pieces.push_back(token);
    }
    maps_.push_back(std::move(map));
  }

  std::string list() const {
    std::string all;
    for (const PinMap& map : maps_) all += (all.empty() ? "" : ", ") + map.name;
    return all;
  }

  const PinMap* choose(const std::string& wanted) {
    const auto named = [&](std::string_view name) -> const PinMap* {
      for (const PinMap& map : maps_) {
        if (same_word(map.name, name)) return &map;
      }
      return nullptr;
    };
    if (!wanted.empty()) {
      if (const PinMap* map = named(wanted)) return map;
      fail("choice", fmt::format("--package {} is none of the pin maps: {}", wanted, list()));
      return nullptr;
    }
    if (const PinMap* map = named(default_map_)) return map;
    if (maps_.size() == 1) return &maps_.front();
    fail("choice", fmt::format("the file has several pin maps, --package picks one: {}", list()));
    return nullptr;
  }

  // PORT : PIN , PORT : ( PIN, PIN ) ... the strings joined, pieces of one pin's name included.
  void read_map(const PinMap& map) {
    std::string text;
    std::vector<std::pair<std::size_t, std::size_t>> places;  // offset in the joined text -> in the file
    for (const Token& piece : map.pieces) {
      places.emplace_back(text.size(), piece.offset + 1);
      text += piece.text;
    }
    const auto origin = [&](std::size_t offset) {
      std::size_t best = 0;
      for (const auto& [own, file] : places) {
        if (own > offset) break;
        best = file + (offset - own);
      }
      return best;
    };
    const std::vector<Token> tokens = tokens_of(text);
    std::size_t i = 0;
    const auto is = [&](std::size_t k, std::string_view sign_text) {
      return k < tokens.size() && tokens[k].kind == Token::Kind::kSign && tokens[k].text == sign_text;
    };
    while (i < tokens.size()) {
      if (is(i, ",")) {
        ++i;
        continue;
      }
      const Token port = tokens[i];
      if (port.kind != Token::Kind::kWord || !is(i + 1, ":")) {
        warn(origin(port.offset), "pin-map",
             fmt::format("{}: not understood in the pin map", guarded_name(port.text.substr(0, 80)).text));
        ++i;
        continue;
      }
      i += 2;
      std::vector<Token> pins;
      if (is(i, "(")) {
        for (++i; i < tokens.size() && !is(i, ")"); ++i) {
          if (!is(i, ",")) pins.push_back(tokens[i]);
        }
        ++i;
      } else if (i < tokens.size()) {
        pins.push_back(tokens[i++]);
      }
      add(port, pins, origin);
    }
  }

  template <class Origin>
  void add(const Token& token, const std::vector<Token>& pins, const Origin& origin) {
    const std::string key = lower(token.text);
    const auto known = ports_.find(key);
    if (known == ports_.end()) {
      return warn(origin(token.offset), "port-unknown",
                  fmt::format("{} is in the pin map but is no port: skipped",
                              guarded_name(token.text.substr(0, 80)).text));
    }
    mapped_.try_emplace(key, true);
    const Port& port = known->second;
    if (static_cast<std::int64_t>(pins.size()) != port.width()) {
      warn(origin(token.offset), "pin-count",
           fmt::format("{} has {} and {} in the map: those that both have were taken", port.name,
                       count_of(port.width(), "member"), count_of(pins.size(), "pin")));
    }
    for (std::size_t i = 0; i < pins.size() && static_cast<std::int64_t>(i) < port.width(); ++i) {
      const std::string_view pin = pins[i].text;
      // The edition of 2013 has words for members that the package leaves open.
      if (same_word(pin.substr(0, 4), "OPEN") || same_word(pin.substr(0, 3), "TIE")) continue;
      const Place place = log_.count("pin-twice") < Diagnostics::kKept && part_.has(pin)
                              ? text_place(text_, origin(pins[i].offset))
                              : Place{0, 0};
      BarePart::Entry entry{std::string(pin), port.name,   pin_type_word(port.direction), "",
                            place.line,       place.column};
      if (port.vector) entry.function += fmt::format("({})", port.member(static_cast<std::int64_t>(i)));
      // The members of a linkage vector are one supply, or one group of open pins; those of others are
      // signals.
      if (port.vector && port.direction.starts_with("linkage")) entry.net = port.name;
      part_.add(std::move(entry));
    }
  }

  std::string_view text_;
  Diagnostics& log_;
  std::vector<Token> tokens_;
  std::size_t at_ = 0;
  std::string_view entity_, standard_;
  std::string default_map_;
  std::map<std::string, Port> ports_;
  std::map<std::string, bool> mapped_;
  std::vector<PinMap> maps_;
  BarePart part_;
};

}  // namespace
}  // namespace bsdl

bool is_bsdl(std::string_view bytes) {
  if (bytes.starts_with("\xEF\xBB\xBF")) bytes.remove_prefix(3);
  // Comments may be long: the first word behind them decides.
  while (true) {
    const auto first = bytes.find_first_not_of(" \t\r\n\f\v");
    if (first == std::string_view::npos) return false;
    bytes.remove_prefix(first);
    if (!bytes.starts_with("--")) break;
    const auto end = bytes.find_first_of("\r\n");
    if (end == std::string_view::npos) return false;
    bytes.remove_prefix(end);
  }
  const auto end = bytes.find_first_of(" \t\r\n");
  if (end == std::string_view::npos || !bsdl::same_word(bytes.substr(0, end), "entity")) return false;
  const auto words = bsdl::tokens_of(bytes.substr(0, 4096));
  return words.size() > 2 && bsdl::same_word(words[2].text, "is");
}

std::optional<Design> read_bsdl(std::string_view bytes, Diagnostics& log, const ReadOptions& options) {
  const std::string text = decode_text(bytes);
  return bsdl::Reader(text, log).run(options);
}

}  // namespace landfall::importers
