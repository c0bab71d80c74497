#include <array>
#include <bit>
#include <cstring>

#include <fmt/format.h>

#include "netdb/store/board_rows.hpp"

namespace landfall::store {
namespace {

// The tables of a board's content, leaves first.
constexpr std::array<const char*, 13> kTables{"edge", "hole", "zone", "fill",      "via", "arc",  "track",
                                              "land", "pin",  "part", "net_alias", "net", "layer"};

// Points as pairs of 64-bit little-endian numbers, on any machine.
std::string points_blob(const std::vector<Point>& points) {
  std::string blob;
  blob.resize(points.size() * 16);
  char* at = blob.data();
  for (const Point& p : points) {
    for (const Nm value : {p.x, p.y}) {
      auto bits = static_cast<std::uint64_t>(value);
      if constexpr (std::endian::native == std::endian::big) bits = __builtin_bswap64(bits);
      std::memcpy(at, &bits, sizeof bits);
      at += sizeof bits;
    }
  }
  return blob;
}

// Binds one row's values from left to right.
class Row {
 public:
  Row(Statement& statement, std::int64_t board) : statement_(statement) { integer(board); }
  Row& integer(std::int64_t value) {
    statement_.bind(++at_, value);
    return *this;
  }
  Row& index(Index value) {
    if (value == kNone) {
      statement_.bind_null(++at_);
    } else {
      statement_.bind(++at_, static_cast<std::int64_t>(value));
    }
    return *this;
  }
  Row& real(double value) {
    statement_.bind(++at_, value);
    return *this;
  }
  Row& text(std::string_view value) {
    statement_.bind(++at_, value);
    return *this;
  }
  Row& blob(std::string_view value) {
    statement_.bind_blob(++at_, value);
    return *this;
  }
  Row& null() {
    statement_.bind_null(++at_);
    return *this;
  }
  Row& point(Point p) { return integer(p.x).integer(p.y); }
  template <class Enum>
  Row& word(Enum value) {
    return integer(static_cast<std::int64_t>(value));
  }
  bool run() { return statement_.run(); }

 private:
  Statement& statement_;
  int at_ = 0;
};

template <class Items, class Fill>
bool write_all(const Database& database, const char* sql, std::int64_t board, const Items& items, Fill fill) {
  Statement statement(database, sql);
  std::int64_t n = 0;
  for (const auto& item : items) {
    Row row(statement, board);
    row.integer(n++);
    if (!fill(row, item)) return false;
  }
  return statement.ok();
}

bool write_names(const Database& database, std::int64_t id, const Board& board) {
  bool good = write_all(database, "INSERT INTO layer VALUES (?,?,?)", id, board.layers,
                        [](Row& row, const std::string& name) { return row.text(name).run(); });
  good = good && write_all(database, "INSERT INTO net VALUES (?,?,?,?)", id, board.nets,
                           [](Row& row, const Net& net) {
                             return row.text(net.name).integer(net.automatic ? 1 : 0).run();
                           });
  Statement alias(database, "INSERT INTO net_alias VALUES (?,?,?,?)");
  for (std::size_t n = 0; good && n < board.nets.size(); ++n) {
    std::int64_t i = 0;
    for (const std::string& name : board.nets[n].aliases) {
      good = good && Row(alias, id).integer(static_cast<std::int64_t>(n)).integer(i++).text(name).run();
    }
  }
  good =
      good && write_all(database, "INSERT INTO part VALUES (?,?,?,?,?,?,?,?,?,?,?,?)", id, board.parts,
                        [](Row& row, const Part& part) {
                          row.text(part.reference).text(part.value).text(part.footprint).text(part.library);
                          row.integer(part.placed ? 1 : 0).point(part.at).real(part.angle).word(part.side);
                          return row.integer(part.fitted ? 1 : 0).run();
                        });
  return good && write_all(database, "INSERT INTO pin VALUES (?,?,?,?,?,?,?)", id, board.pins,
                           [](Row& row, const Pin& pin) {
                             return row.index(pin.part)
                                 .text(pin.number)
                                 .text(pin.function)
                                 .word(pin.type)
                                 .index(pin.net)
                                 .run();
                           });
}

bool write_copper(const Database& database, std::int64_t id, const Board& board) {
  std::string blob;
  bool good = write_all(
      database, "INSERT INTO land VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?)", id, board.lands,
      [&](Row& row, const Land& land) {
        row.index(land.part).index(land.pin).index(land.net).point(land.at).word(land.side).word(land.shape);
        row.integer(land.width).integer(land.height).integer(land.corner).real(land.angle).point(land.hole);
        row.integer(land.drill).integer(static_cast<std::int64_t>(land.layers));
        if (land.outline.empty()) return row.null().run();
        blob = points_blob(land.outline);
        return row.blob(blob).run();
      });
  good = good && write_all(database, "INSERT INTO track VALUES (?,?,?,?,?,?,?,?,?)", id, board.tracks,
                           [](Row& row, const Track& track) {
                             return row.point(track.from)
                                 .point(track.to)
                                 .integer(track.width)
                                 .integer(track.layer)
                                 .index(track.net)
                                 .run();
                           });
  good = good && write_all(database, "INSERT INTO arc VALUES (?,?,?,?,?,?,?,?,?,?,?)", id, board.arcs,
                           [](Row& row, const Arc& arc) {
                             return row.point(arc.from)
                                 .point(arc.mid)
                                 .point(arc.to)
                                 .integer(arc.width)
                                 .integer(arc.layer)
                                 .index(arc.net)
                                 .run();
                           });
  good = good && write_all(database, "INSERT INTO via VALUES (?,?,?,?,?,?,?,?,?,?,?)", id, board.vias,
                           [](Row& row, const Via& via) {
                             row.point(via.at)
                                 .integer(via.diameter)
                                 .integer(via.drill)
                                 .integer(via.first)
                                 .integer(via.last)
                                 .index(via.net);
                             return row.word(via.top).word(via.bottom).run();
                           });
  good =
      good && write_all(database, "INSERT INTO fill VALUES (?,?,?,?,?,?)", id, board.fills,
                        [&](Row& row, const Fill& fill) {
                          blob = points_blob(fill.ring);
                          return row.index(fill.net).integer(fill.layer).integer(fill.pen).blob(blob).run();
                        });
  good = good && write_all(database, "INSERT INTO zone VALUES (?,?,?,?,?,?)", id, board.zones,
                           [](Row& row, const Zone& zone) {
                             row.index(zone.net).integer(static_cast<std::int64_t>(zone.layers));
                             return row.integer(zone.filled ? 1 : 0).integer(zone.keepout ? 1 : 0).run();
                           });
  good = good &&
         write_all(database, "INSERT INTO hole VALUES (?,?,?,?,?)", id, board.holes,
                   [](Row& row, const Hole& hole) { return row.point(hole.at).integer(hole.drill).run(); });
  return good &&
         write_all(database, "INSERT INTO edge VALUES (?,?,?,?,?,?)", id, board.outline,
                   [](Row& row, const Edge& edge) { return row.point(edge.from).point(edge.to).run(); });
}

// Of one kind of thing: the number of the first that refers to none.
template <class Items>
std::optional<std::size_t> first_lost(const Items& items, Index Items::value_type::*member, std::size_t size,
                                      bool may_be_none) {
  for (std::size_t i = 0; i < items.size(); ++i) {
    const Index to = items[i].*member;
    if (to >= size && !(may_be_none && to == kNone)) return i;
  }
  return std::nullopt;
}

}  // namespace

std::optional<std::string> wrong_reference(const Board& board) {
  std::optional<std::string> wrong;
  const auto check = [&](const char* what, const auto& items, auto member, const char* to, std::size_t size,
                         bool may_be_none = true) {
    if (wrong) return;
    if (const auto lost = first_lost(items, member, size, may_be_none))
      wrong = fmt::format("{} {} refers to a {} that the board does not have", what, *lost, to);
  };
  check("pin", board.pins, &Pin::part, "part", board.parts.size(), false);
  check("pin", board.pins, &Pin::net, "net", board.nets.size());
  check("land", board.lands, &Land::part, "part", board.parts.size());
  check("land", board.lands, &Land::pin, "pin", board.pins.size());
  check("land", board.lands, &Land::net, "net", board.nets.size());
  check("track", board.tracks, &Track::net, "net", board.nets.size());
  check("arc", board.arcs, &Arc::net, "net", board.nets.size());
  check("via", board.vias, &Via::net, "net", board.nets.size());
  check("fill", board.fills, &Fill::net, "net", board.nets.size());
  check("zone", board.zones, &Zone::net, "net", board.nets.size());
  return wrong;
}

bool write_board(const Database& database, std::int64_t id, const Board& board) {
  return write_names(database, id, board) && write_copper(database, id, board);
}

bool clear_board(const Database& database, std::int64_t id) {
  for (const char* table : kTables) {
    Statement statement(database, fmt::format("DELETE FROM {} WHERE board = ?", table).c_str());
    if (!statement.bind(1, id).run()) return false;
  }
  for (const char* sql : {"DELETE FROM diagnostic WHERE source IN (SELECT id FROM source WHERE board = ?)",
                          "DELETE FROM source WHERE board = ?", "DELETE FROM disagreement WHERE board = ?"}) {
    if (!Statement(database, sql).bind(1, id).run()) return false;
  }
  return true;
}

}  // namespace landfall::store
