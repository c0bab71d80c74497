#include <algorithm>
#include <array>
#include <map>
#include <set>
#include <utility>

#include <fmt/format.h>

#include "netdb/store/board_rows.hpp"
#include "netdb/store/rescue_inside.hpp"

// Rows that refer to lost ones, and lists with gaps: made whole so that the file can be worked with.

namespace landfall::store {
namespace {

constexpr std::int64_t kMostInvented = 1'000'000;
constexpr std::int64_t kMostBulk = 100'000'000;  // of a board's rows in one list
constexpr int kMostNamesakes = 100;

struct Reference {
  std::string parent;
  std::vector<std::string> from, to;
};

std::vector<std::string> texts(const Database& database, const std::string& sql) {
  std::vector<std::string> list;
  Statement rows(database, sql.c_str());
  while (rows.step()) list.push_back(rows.text(0));
  return list;
}

std::vector<std::int64_t> numbers(const Database& database, const std::string& sql) {
  std::vector<std::int64_t> list;
  Statement rows(database, sql.c_str());
  while (rows.step()) list.push_back(rows.integer(0));
  return list;
}

std::int64_t number(const Database& database, const std::string& sql) {
  return database.number(sql.c_str()).value_or(0);
}

// Nothing refers to their rows.
constexpr std::array<const char*, 8> kCopperTables{"land", "track", "arc",  "via",
                                                   "fill", "zone",  "hole", "edge"};

class Mender {
 public:
  Mender(const Database& database, const std::vector<TableShape>& shapes, std::vector<RescuedTable>& tables)
      : database_(database), shapes_(shapes), tables_(tables) {}

  Status run() {
    refuse_what_is_beyond();
    // Lists first, since what is made up in them may refer to a board that is lost itself.
    for (int round = 0; round < 8; ++round) {
      changed_ = false;
      for (const TableShape& shape : shapes_) settle_references(shape);
      fill_lists();
      if (!changed_ || failed_) break;
    }
    renew_pasts();
    renumber_pins();
    for (const char* table : kCopperTables) close_gaps(table);
    refuse_unreadable();
    mend_history();
    mend_photos();
    for (const char* table : {"part", "pin", "net"}) {
      run(fmt::format("UPDATE board SET \"{0}s\" = (SELECT count(*) FROM \"{0}\" t WHERE t.board = board.id)",
                      table));
    }
    if (failed_) return database_.error();
    return std::monostate{};
  }

 private:
  RescuedTable& report(const std::string& table) {
    return *std::find_if(tables_.begin(), tables_.end(),
                         [&](const RescuedTable& t) { return t.name == table; });
  }
  const TableShape* shape(const std::string& table) const {
    const auto found =
        std::find_if(shapes_.begin(), shapes_.end(), [&](const TableShape& s) { return s.name == table; });
    return found == shapes_.end() ? nullptr : &*found;
  }
  std::int64_t run(const std::string& sql) {
    if (!database_.run(sql.c_str()).ok()) failed_ = true;
    return sqlite3_changes(database_.handle());
  }

  std::int64_t take_out(const std::string& table, const std::string& where) {
    const std::int64_t gone = run(fmt::format("DELETE FROM \"{}\" WHERE {}", table, where));
    report(table).kept -= gone;
    return gone;
  }
  void drop(const std::string& table, const std::string& where) {
    report(table).dropped += take_out(table, where);
  }
  void refuse(const std::string& table, const std::string& where) {
    report(table).refused += take_out(table, where);
  }
  void mend(const std::string& table, const std::string& set, const std::string& where) {
    if (shape(table) == nullptr) return;  // in a file from before
    report(table).mended += run(fmt::format("UPDATE \"{}\" SET {} WHERE {}", table, set, where));
  }

  std::vector<Reference> references(const TableShape& table) const {
    std::vector<Reference> list;
    Statement rows(database_,
                   fmt::format("SELECT id, \"table\", \"from\", \"to\" FROM pragma_foreign_key_list('{}') "
                               "ORDER BY id, seq",
                               table.name)
                       .c_str());
    std::int64_t before = -1;
    while (rows.step()) {
      if (rows.integer(0) != before) list.push_back({rows.text(1), {}, {}});
      before = rows.integer(0);
      list.back().from.push_back(rows.text(2));
      if (!rows.is_null(3)) list.back().to.push_back(rows.text(3));
    }
    for (Reference& reference : list) {
      if (reference.to.empty())
        reference.to =
            texts(database_, fmt::format("SELECT name FROM pragma_table_info('{}') WHERE pk > 0 ORDER BY pk",
                                         reference.parent));
    }
    return list;
  }

  // Rows of the table whose parent is not there.
  static std::string lost(const TableShape& table, const Reference& reference) {
    std::string set;
    std::string same;
    for (std::size_t i = 0; i < reference.from.size(); ++i) {
      set += fmt::format("\"{}\" IS NOT NULL AND ", reference.from[i]);
      same += fmt::format("{}p.\"{}\" = \"{}\".\"{}\"", i == 0 ? "" : " AND ", reference.to[i], table.name,
                          reference.from[i]);
    }
    return fmt::format("{}NOT EXISTS (SELECT 1 FROM \"{}\" p WHERE {})", set, reference.parent, same);
  }

  void settle_references(const TableShape& table) {
    for (const Reference& reference : references(table)) {
      const std::string where = lost(table, reference);
      if (number(database_, fmt::format("SELECT count(*) FROM \"{}\" WHERE {}", table.name, where)) == 0)
        continue;
      changed_ = true;
      if (is_made_up_when_lost(reference.parent)) {
        std::string columns;
        for (const std::string& column : reference.from)
          columns += fmt::format("{}\"{}\"", columns.empty() ? "" : ", ", column);
        Statement rows(
            database_,
            fmt::format("SELECT DISTINCT {} FROM \"{}\" WHERE {}", columns, table.name, where).c_str());
        std::vector<std::vector<std::int64_t>> keys;
        while (rows.step() && keys.size() < static_cast<std::size_t>(kMostInvented)) {
          keys.emplace_back();
          for (std::size_t i = 0; i < reference.from.size(); ++i)
            keys.back().push_back(rows.integer(static_cast<int>(i)));
        }
        for (const auto& key : keys) invent(reference.parent, reference.to, key);
        continue;
      }
      const TableColumn* last = table.column(reference.from.back());
      if (last != nullptr && !last->not_null && !is_key(table, last->name)) {
        mend(table.name, fmt::format("\"{}\" = NULL", last->name), where);
      } else {
        drop(table.name, where);
      }
    }
  }

  static bool is_key(const TableShape& table, const std::string& column) {
    return std::find(table.key.begin(), table.key.end(), column) != table.key.end();
  }

  // A row with this key, called "lost ...", with nothing in it.
  void invent(const std::string& table, const std::vector<std::string>& columns,
              const std::vector<std::int64_t>& key) {
    const TableShape* own = shape(table);
    if (own == nullptr || report(table).invented >= kMostInvented) return;
    // A row that was rescued may bear such a name already, from an earlier rescue.
    for (int again = 1; again <= kMostNamesakes; ++again) {
      const std::int64_t made = insert_made_up(*own, columns, key, again);
      report(table).invented += made;
      if (made > 0) break;
    }
    changed_ = true;
  }

  std::int64_t insert_made_up(const TableShape& own, const std::vector<std::string>& columns,
                              const std::vector<std::int64_t>& key, int again) {
    std::string names;
    std::string values;
    const auto add = [&](const std::string& name, const std::string& value) {
      names += fmt::format("{}\"{}\"", names.empty() ? "" : ", ", name);
      values += (values.empty() ? "" : ", ") + value;
    };
    for (const TableColumn& column : own.columns) {
      const auto at = std::find(columns.begin(), columns.end(), column.name);
      if (at != columns.end()) {
        add(column.name, std::to_string(key[static_cast<std::size_t>(at - columns.begin())]));
      } else if (const auto lost = lost_name(own.name, column.name, key.back())) {
        add(column.name, fmt::format("'{}{}'", *lost, again == 1 ? "" : fmt::format(" ({})", again)));
      } else if (column.not_null) {
        add(column.name, column.type == "TEXT" ? "''" : (column.type == "BLOB" ? "x''" : "0"));
      }
    }
    return run(fmt::format("INSERT OR IGNORE INTO \"{}\" ({}) VALUES ({})", own.name, names, values));
  }

  struct List {
    const char* table;
    std::vector<std::pair<const char*, const char*>> used;  // by which table and column
  };

  // Numbers of a list's rows: how many there can be, and how many are known to have been there.
  struct Extent {
    std::int64_t most = 0, had = 0;
  };

  [[nodiscard]] bool was_read_whole(const std::string& table) {
    return report(table).damage.empty() && report(table).refused == 0;
  }

  // What a board has room for in one of its lists. Its rows and the board's own count each may say what
  // cannot be: rows without a gap are believed, however many; then a count that fits nearly all of them; then
  // that a list has lost no more than ten times what is left of it, or as much again before what is left.
  Extent extent_of(const std::string& table, std::int64_t board) {
    const std::string own = fmt::format("FROM \"{}\" WHERE board = {}", table, board);
    const std::int64_t count = number(database_, "SELECT count(*) " + own);
    const bool whole = was_read_whole(table);
    if (table == "layer") {
      const std::int64_t end =
          number(database_, fmt::format("SELECT coalesce(max(n), -1) + 1 {} AND n < {}", own, kMostLayers));
      // A board whose copper is not known has vias all the same, from layer 0 to 0.
      return {whole && end == count ? std::max<std::int64_t>(end, 1) : kMostLayers, 0};
    }
    // Where half of the rows end: a few numbers that cannot be say nothing.
    const std::int64_t bulk =
        count < 3 ? 0
                  : number(database_,
                           fmt::format("SELECT n {} ORDER BY n LIMIT 1 OFFSET {}", own, (count - 1) / 2));
    const bool invented = table == "part" || table == "net";  // what is missing of these is made up
    std::int64_t room = std::max(10 * count, 2 * std::clamp<std::int64_t>(bulk, 0, kMostBulk)) + 10'000;
    if (invented) room = std::min(room, count + kMostInvented);
    const std::int64_t end =
        number(database_, fmt::format("SELECT coalesce(max(n), -1) + 1 {} AND n < {}", own, room));
    std::int64_t said = 0;
    if (invented || table == "pin")
      said = number(database_, fmt::format("SELECT {}s FROM board WHERE id = {}", table, board));
    if (said > (whole ? room : count + kMostInvented)) said = 0;
    // No pins are made up: their count only says what is missing.
    const bool fill_by_rows = whole && table != "pin";
    if (end == count && count > 0) return {std::max(end, said), fill_by_rows ? end : said};
    const std::int64_t outside = number(database_, fmt::format("SELECT count(*) {} AND n >= {}", own, said));
    if (said > 0 && outside <= count / 10) return {said, said};
    return {room, 0};
  }

  // Rows that refer further than their board's lists can reach, and such rows of the lists: to make up all
  // that would be between helps nobody.
  void refuse_what_is_beyond() {
    std::set<std::int64_t> boards;
    for (const TableShape& table : shapes_) {
      if (table.column("board") == nullptr || table.column("n") == nullptr) continue;
      for (const std::int64_t board :
           numbers(database_, fmt::format("SELECT DISTINCT board FROM \"{}\"", table.name)))
        boards.insert(board);
    }
    for (const std::int64_t board : boards) {
      for (const List& list : lists()) extents_[{list.table, board}] = extent_of(list.table, board);
      for (const char* table : kCopperTables) extents_[{table, board}] = extent_of(table, board);
      extents_[{"pin", board}] = extent_of("pin", board);
    }
    for (const auto& [list, extent] : extents_)
      refuse(list.first, fmt::format("board = {} AND n >= {}", list.second, extent.most));
    for (const std::int64_t board : boards) {
      for (const List& list : lists()) {
        for (const auto& [table, column] : list.used) {
          refuse(table, fmt::format("board = {0} AND (\"{1}\" < 0 OR \"{1}\" >= {2})", board, column,
                                    extents_[{list.table, board}].most));
        }
      }
    }
  }

  // The last number of the list that a board has, or that its other rows speak of; -1 for none.
  std::int64_t last_of(const List& list, std::int64_t board) {
    std::int64_t last =
        number(database_,
               fmt::format("SELECT coalesce(max(n), -1) FROM \"{}\" WHERE board = {}", list.table, board));
    for (const auto& [from, column] : list.used) {
      last = std::max(
          last, number(database_, fmt::format("SELECT coalesce(max(\"{}\"), -1) FROM \"{}\" WHERE board = {}",
                                              column, from, board)));
    }
    return std::max(last, extents_[{list.table, board}].had - 1);
  }

  static const std::array<List, 3>& lists() {
    static const std::array<List, 3> all{
        {{"layer",
          {{"track", "layer"}, {"arc", "layer"}, {"via", "last"}, {"via", "first"}, {"fill", "layer"}}},
         {"net",
          {{"pin", "net"},
           {"net_alias", "net"},
           {"land", "net"},
           {"track", "net"},
           {"arc", "net"},
           {"via", "net"},
           {"fill", "net"},
           {"zone", "net"}}},
         {"part", {{"pin", "part"}, {"land", "part"}}}}};
    return all;
  }

  // Nets, parts and layers are counted from 0 without gaps, as far as anything refers to them.
  void fill_lists() {
    for (const std::int64_t board : numbers(database_, "SELECT id FROM board")) {
      for (const List& list : lists()) {
        const std::string own = fmt::format("FROM \"{}\" WHERE board = {}", list.table, board);
        const std::int64_t count = number(database_, "SELECT count(*) " + own);
        const std::int64_t last = last_of(list, board);
        // A board whose copper is not known has vias all the same, from layer 0 to 0.
        if (std::string_view(list.table) == "layer" && count == 0 && last <= 0) continue;
        if (last + 1 == count || last > kMostInvented || last < 0) continue;
        const auto gaps = numbers(
            database_,
            fmt::format("WITH RECURSIVE c(i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM c WHERE i < {}) "
                        "SELECT i FROM c WHERE i NOT IN (SELECT n {})",
                        last, own));
        for (const std::int64_t gap : gaps) invent(list.table, {"board", "n"}, {board, gap});
      }
    }
  }

  // A site whose past has no row, though it has a mark or a history, gets the numbers that a file from before
  // this table gets. Where rows of it were lost nobody can tell whose state is the newer one, so each site
  // gets a new last number: another bench's differing mark is then asked about rather than taken or passed
  // over.
  void renew_pasts() {
    if (shape("mark_past") == nullptr) return;
    const char* none =
        "NOT EXISTS (SELECT 1 FROM mark_past p WHERE p.job = t.job AND p.part = t.part AND "
        "p.ball = t.ball)";
    run("CREATE TEMP TABLE pastless AS SELECT DISTINCT t.job, t.part, t.ball FROM (SELECT job, part, ball "
        "FROM "
        "mark UNION SELECT gesture.job, part, ball FROM change JOIN gesture ON gesture.id = change.gesture) "
        "t "
        "WHERE " +
        std::string(none));
    // Counted by what is there before and after: some rows take the place of others.
    const auto count = [&] { return number(database_, "SELECT count(*) FROM mark_past"); };
    const std::int64_t before = count();
    run("INSERT OR REPLACE INTO mark_past (job, part, ball, state) SELECT gesture.job, c.part, c.ball, "
        "iif(kind_after IS NULL, random(), -1 - kind_after) FROM change c JOIN gesture ON gesture.id = "
        "c.gesture JOIN temp.pastless l ON l.job = gesture.job AND l.part = c.part AND l.ball = c.ball "
        "ORDER BY "
        "gesture.id, n");
    run("INSERT OR REPLACE INTO mark_past (job, part, ball, state) SELECT m.job, m.part, m.ball, -1 - kind "
        "FROM mark m JOIN temp.pastless l ON l.job = m.job AND l.part = m.part AND l.ball = m.ball");
    run("DROP TABLE temp.pastless");
    if (!report("mark_past").damage.empty()) {
      run("INSERT INTO mark_past (job, part, ball, state) SELECT job, part, ball, random() FROM "
          "mark_past GROUP BY job, part, ball");
    }
    report("mark_past").invented += count() - before;
  }

  std::vector<std::string> boards_with_gaps(const std::string& table) {
    return texts(database_,
                 fmt::format("SELECT board FROM \"{}\" GROUP BY board HAVING max(n) + 1 != count(*)", table));
  }

  // Counted anew from 0 in the same order. Returns nothing; what was between is missing.
  void close_gaps(const std::string& table) {
    for (const std::string& board : boards_with_gaps(table)) {
      report(table).missing += number(
          database_, fmt::format("SELECT max(n) + 1 - count(*) FROM \"{}\" WHERE board = {}", table, board));
      run(
          fmt::format("CREATE TEMP TABLE place AS SELECT n AS old, row_number() OVER (ORDER BY n) - 1 AS new "
                      "FROM \"{0}\" WHERE board = {1};"
                      "CREATE UNIQUE INDEX temp.place_by_old ON place (old);"
                      "UPDATE \"{0}\" SET n = -1 - (SELECT new FROM place WHERE old = n) WHERE board = {1};"
                      "UPDATE \"{0}\" SET n = -1 - n WHERE board = {1}",
                      table, board));
      if (table == "pin")
        run(fmt::format("UPDATE land SET pin = (SELECT new FROM place WHERE old = land.pin) WHERE board = {}",
                        board));
      run("DROP TABLE temp.place");
    }
  }

  // A page that was overwritten may still read as rows, with values that no board has: one such row would
  // keep the whole board from opening.
  void refuse_unreadable() {
    for (const std::int64_t board : numbers(database_, "SELECT id FROM board")) {
      const auto faults = faults_of_board(database_, board);
      if (!faults.ok()) continue;
      for (const RowFault& fault : *faults) {
        if (std::find(kCopperTables.begin(), kCopperTables.end(), fault.table) == kCopperTables.end())
          continue;
        refuse(fault.table, fmt::format("board = {} AND n = {}", board, fault.n));
      }
    }
    for (const char* table : kCopperTables) {
      // The place of a refused row is no loss of its own.
      const std::int64_t missing = report(table).missing;
      close_gaps(table);
      report(table).missing = missing;
    }
  }

  // A gesture follows an older one of its own job, so that what is undone comes to an end.
  void mend_history() {
    mend("gesture", "parent = NULL",
         "parent >= id OR parent NOT IN (SELECT p.id FROM gesture p WHERE p.job = gesture.job)");
    mend("job", "cursor = NULL", "cursor NOT IN (SELECT gesture.id FROM gesture WHERE gesture.job = job.id)");
  }

  // A photo stands as long as its pixels do: without them it is as one that was rubbed out.
  void mend_photos() {
    if (shape("photo_pixels") == nullptr) return;
    drop("photo_match", "photo NOT IN (SELECT photo FROM photo_pixels)");
    mend("photo", "withdrawn = at, note = '', matched = ''",
         "withdrawn IS NULL AND id NOT IN (SELECT photo FROM photo_pixels)");
    mend("photo", "withdrawn = NULL", "withdrawn IS NOT NULL AND id IN (SELECT photo FROM photo_pixels)");
  }

  // Lands keep their pins; lands of lost pins have none.
  void renumber_pins() {
    for (const std::int64_t board : numbers(database_, "SELECT id FROM board")) {
      const std::string own = fmt::format("FROM pin WHERE board = {}", board);
      const std::int64_t had = extents_[{"pin", board}].had;
      report("pin").missing += std::max<std::int64_t>(
          0, had - std::max(number(database_, "SELECT count(*) " + own),
                            number(database_, "SELECT coalesce(max(n), -1) + 1 " + own)));
      run(fmt::format(
          "UPDATE land SET pin = NULL WHERE board = {0} AND pin NOT IN (SELECT n FROM pin WHERE board = {0})",
          board));
    }
    close_gaps("pin");
    // The place of a refused row is no loss of its own.
    report("pin").missing = std::max<std::int64_t>(0, report("pin").missing - report("pin").refused);
  }

  const Database& database_;
  const std::vector<TableShape>& shapes_;
  std::vector<RescuedTable>& tables_;
  std::map<std::pair<std::string, std::int64_t>, Extent> extents_;  // by table and board
  bool changed_ = false, failed_ = false;
};

}  // namespace

const TableColumn* TableShape::column(const std::string& wanted) const {
  const auto found =
      std::find_if(columns.begin(), columns.end(), [&](const TableColumn& c) { return c.name == wanted; });
  return found == columns.end() ? nullptr : &*found;
}

std::vector<TableShape> table_shapes(const Database& database) {
  std::vector<TableShape> shapes;
  Statement tables(database,
                   "SELECT s.name, l.wr FROM sqlite_schema s JOIN pragma_table_list l ON l.name = s.name AND "
                   "l.schema = 'main' WHERE s.type = 'table' AND s.name NOT LIKE 'sqlite\\_%' ESCAPE '\\' "
                   "ORDER BY s.rowid");
  while (tables.step()) {
    TableShape shape;
    shape.name = tables.text(0);
    shape.by_rowid = tables.integer(1) == 0;
    Statement columns(
        database,
        fmt::format("SELECT name, type, \"notnull\" OR pk > 0 FROM pragma_table_info('{}')", shape.name)
            .c_str());
    while (columns.step())
      shape.columns.push_back({columns.text(0), columns.text(1), columns.integer(2) != 0});
    if (shape.by_rowid) {
      shape.key = {"rowid"};
    } else {
      shape.key =
          texts(database,
                fmt::format("SELECT name FROM pragma_table_info('{}') WHERE pk > 0 ORDER BY pk", shape.name));
    }
    shapes.push_back(std::move(shape));
  }
  return shapes;
}

Status mend_rows(const Database& database, const std::vector<TableShape>& shapes,
                 std::vector<RescuedTable>& tables) {
  return Mender(database, shapes, tables).run();
}

}  // namespace landfall::store
