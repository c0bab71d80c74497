#include <algorithm>
#include <bit>
#include <cmath>
#include <cstring>
#include <initializer_list>

#include <fmt/format.h>

#include "netdb/store/board_rows.hpp"

namespace landfall::store {
namespace {

constexpr std::int64_t kPointBytes = 16;

// Points from pairs of 64-bit little-endian numbers, on any machine.
std::vector<Point> blob_points(std::string_view blob) {
  std::vector<Point> points(blob.size() / kPointBytes);
  const char* at = blob.data();
  for (Point& p : points) {
    for (Nm* value : {&p.x, &p.y}) {
      std::uint64_t bits = 0;
      std::memcpy(&bits, at, sizeof bits);
      if constexpr (std::endian::native == std::endian::big) bits = __builtin_bswap64(bits);
      *value = static_cast<Nm>(bits);
      at += sizeof bits;
    }
  }
  return points;
}

// Reads one row's values from left to right, and remembers the first that cannot be.
class Columns {
 public:
  explicit Columns(const Statement& statement) : statement_(statement) {}
  std::int64_t integer() { return statement_.integer(at_++); }
  bool yes() { return integer() != 0; }
  std::string text() { return statement_.text(at_++); }
  double angle() {
    const double value = statement_.real(at_++);
    if (!std::isfinite(value)) fail("an angle that is no number");
    return value;
  }
  // A place in a list of `size`; kNone for NULL.
  Index index(std::size_t size) {
    if (!statement_.is_null(at_)) return index_of(size);
    ++at_;
    return kNone;
  }
  // The same where NULL cannot be.
  Index index_of(std::size_t size) {
    const std::int64_t value = integer();
    if (value >= 0 && static_cast<std::uint64_t>(value) < size) return static_cast<Index>(value);
    fail(fmt::format("it refers to number {} of {}", value, size));
    return kNone;
  }
  // A board whose copper is not known has vias all the same, from layer 0 to 0.
  int layer(const Board& board) {
    return static_cast<int>(index_of(std::max<std::size_t>(board.layers.size(), 1)));
  }
  Nm length() {
    const Nm value = integer();
    if (value < -kNoFarther || value > kNoFarther) fail("a length that no board has");
    return value;
  }
  Point point() {
    const Nm x = length();
    return {x, length()};
  }
  std::vector<Point> points() {
    const std::string_view blob = statement_.bytes(at_++);
    if (blob.size() % kPointBytes != 0) fail("a ring that breaks off");
    std::vector<Point> points = blob_points(blob);
    for (const Point& p : points) {
      if (std::abs(p.x) > kNoFarther || std::abs(p.y) > kNoFarther) fail("a length that no board has");
    }
    return points;
  }
  template <class Enum>
  Enum word(Enum last) {
    const auto value = statement_.as_enum(at_++, last);
    if (!value) fail("a word that there is not");
    return value.value_or(Enum{});
  }
  void fail(std::string what) {
    if (fault_.empty()) fault_ = std::move(what);
  }
  [[nodiscard]] const std::string& fault() const { return fault_; }

 private:
  const Statement& statement_;
  int at_ = 0;
  std::string fault_;
};

// All rows of a board in one of its tables, in the order of n, which counts them from 0. `faults`: rows that
// cannot be go there; without it the first of them ends the reading.
template <class Take>
Status read_all(const Database& database, const char* columns, const char* table, std::int64_t board,
                std::vector<RowFault>* faults, Take take) {
  const std::string sql = fmt::format("SELECT n, {} FROM {} WHERE board = ? ORDER BY n", columns, table);
  Statement statement(database, sql.c_str());
  statement.bind(1, board);
  for (std::int64_t n = 0; statement.step(); ++n) {
    Columns row(statement);
    const std::int64_t own = row.integer();
    if (own != n) return database.damaged(fmt::format("table {}, row {} is missing", table, n));
    take(row);
    if (row.fault().empty()) continue;
    if (faults == nullptr)
      return database.damaged(fmt::format("table {}, row {}: {}", table, n, row.fault()));
    faults->push_back({table, n});
  }
  if (!statement.ok()) return database.error();
  return done();
}

// The tables of one board, one after the other until one fails.
class BoardReader {
 public:
  BoardReader(const Database& database, std::int64_t id, Board& board,
              std::vector<RowFault>* faults = nullptr)
      : database_(database), id_(id), board_(board), faults_(faults) {}

  Status run() {
    if (std::abs(board_.thickness) > kNoFarther)
      return database_.damaged("table board: a length that no board has");
    return each({&BoardReader::layers, &BoardReader::nets, &BoardReader::aliases, &BoardReader::parts,
                 &BoardReader::pins, &BoardReader::lands, &BoardReader::tracks, &BoardReader::arcs,
                 &BoardReader::vias, &BoardReader::fills, &BoardReader::zones, &BoardReader::holes,
                 &BoardReader::edges});
  }

  Status words() {
    return each({&BoardReader::layers, &BoardReader::nets, &BoardReader::aliases, &BoardReader::parts,
                 &BoardReader::pins, &BoardReader::parts_with_lands});
  }

 private:
  Status each(std::initializer_list<Status (BoardReader::*)()> reads) {
    for (const auto read : reads) {
      if (Status status = (this->*read)(); !status.ok()) return status;
    }
    return done();
  }

  template <class Take>
  Status all(const char* columns, const char* table, Take take) {
    return read_all(database_, columns, table, id_, faults_, take);
  }

  Status layers() {
    return all("name", "layer", [&](Columns& row) { board_.layers.push_back(row.text()); });
  }

  Status nets() {
    return all("name, automatic", "net", [&](Columns& row) {
      Net& net = board_.nets.emplace_back();
      net.name = row.text();
      net.automatic = row.yes();
    });
  }

  Status aliases() {
    Statement alias(database_, "SELECT net, name FROM net_alias WHERE board = ? ORDER BY net, n");
    alias.bind(1, id_);
    while (alias.step()) {
      Columns row(alias);
      const Index net = row.index_of(board_.nets.size());
      if (!row.fault().empty()) return database_.damaged("table net_alias: " + row.fault());
      board_.nets[net].aliases.push_back(row.text());
    }
    if (!alias.ok()) return database_.error();
    return done();
  }

  Status parts() {
    return all("reference, value, footprint, library, placed, x, y, angle, side, fitted", "part",
               [&](Columns& row) {
                 Part& part = board_.parts.emplace_back();
                 part.reference = row.text();
                 part.value = row.text();
                 part.footprint = row.text();
                 part.library = row.text();
                 part.placed = row.yes();
                 part.at = row.point();
                 part.angle = row.angle();
                 part.side = row.word(Side::kThrough);
                 part.fitted = row.yes();
               });
  }

  Status pins() {
    return all("part, number, function, type, net", "pin", [&](Columns& row) {
      Pin& pin = board_.pins.emplace_back();
      pin.part = row.index_of(board_.parts.size());
      pin.number = row.text();
      pin.function = row.text();
      pin.type = row.word(PinType::kNotConnected);
      pin.net = net(row);
    });
  }

  Status lands() {
    return all(
        "part, pin, net, x, y, side, shape, width, height, corner, angle, hole_x, hole_y, drill, layers, "
        "outline",
        "land", [&](Columns& row) {
          Land& land = board_.lands.emplace_back();
          land.part = row.index(board_.parts.size());
          land.pin = row.index(board_.pins.size());
          land.net = net(row);
          land.at = row.point();
          land.side = row.word(Side::kThrough);
          land.shape = row.word(LandShape::kCustom);
          land.width = row.length();
          land.height = row.length();
          land.corner = row.length();
          land.angle = row.angle();
          land.hole = row.point();
          land.drill = row.length();
          land.layers = static_cast<LayerSet>(row.integer());
          land.outline = row.points();
        });
  }

  // By the index of lands by pin: no row of a land is read.
  Status parts_with_lands() {
    Statement found(
        database_,
        "SELECT n FROM part WHERE board = ?1 AND EXISTS (SELECT 1 FROM pin JOIN land ON land.board = "
        "pin.board AND land.pin = pin.n WHERE pin.board = ?1 AND pin.part = part.n)");
    found.bind(1, id_);
    while (found.step()) {
      Columns row(found);
      board_.lands.emplace_back().part = row.index_of(board_.parts.size());
      if (!row.fault().empty()) return database_.damaged("table part: " + row.fault());
    }
    if (!found.ok()) return database_.error();
    return done();
  }

  Status tracks() {
    return all("x1, y1, x2, y2, width, layer, net", "track", [&](Columns& row) {
      Track& track = board_.tracks.emplace_back();
      track.from = row.point();
      track.to = row.point();
      track.width = row.length();
      track.layer = row.layer(board_);
      track.net = net(row);
    });
  }

  Status arcs() {
    return all("x1, y1, xm, ym, x2, y2, width, layer, net", "arc", [&](Columns& row) {
      Arc& arc = board_.arcs.emplace_back();
      arc.from = row.point();
      arc.mid = row.point();
      arc.to = row.point();
      arc.width = row.length();
      arc.layer = row.layer(board_);
      arc.net = net(row);
    });
  }

  Status vias() {
    return all("x, y, diameter, drill, first, last, net, top, bottom", "via", [&](Columns& row) {
      Via& via = board_.vias.emplace_back();
      via.at = row.point();
      via.diameter = row.length();
      via.drill = row.length();
      via.first = row.layer(board_);
      via.last = row.layer(board_);
      via.net = net(row);
      via.top = row.word(Cover::kTented);
      via.bottom = row.word(Cover::kTented);
    });
  }

  Status fills() {
    return all("net, layer, pen, ring", "fill", [&](Columns& row) {
      Fill& fill = board_.fills.emplace_back();
      fill.net = net(row);
      fill.layer = row.layer(board_);
      fill.pen = row.length();
      fill.ring = row.points();
    });
  }

  Status zones() {
    return all("net, layers, filled, keepout", "zone", [&](Columns& row) {
      Zone& zone = board_.zones.emplace_back();
      zone.net = net(row);
      zone.layers = static_cast<LayerSet>(row.integer());
      zone.filled = row.yes();
      zone.keepout = row.yes();
    });
  }

  Status holes() {
    return all("x, y, drill", "hole", [&](Columns& row) {
      const Point at = row.point();
      board_.holes.push_back({at, row.length()});
    });
  }

  Status edges() {
    return all("x1, y1, x2, y2", "edge", [&](Columns& row) {
      const Point from = row.point();
      board_.outline.push_back({from, row.point()});
    });
  }

  Index net(Columns& row) { return row.index(board_.nets.size()); }

  const Database& database_;
  std::int64_t id_;
  Board& board_;
  std::vector<RowFault>* faults_;
};

}  // namespace

Status read_board(const Database& database, std::int64_t id, Board& board) {
  return BoardReader(database, id, board).run();
}

Result<std::vector<RowFault>> faults_of_board(const Database& database, std::int64_t id) {
  Board board;
  std::vector<RowFault> faults;
  if (Status read = BoardReader(database, id, board, &faults).run(); !read.ok()) return read.error();
  return faults;
}

Status read_board_words(const Database& database, std::int64_t id, Board& board) {
  return BoardReader(database, id, board).words();
}

}  // namespace landfall::store
