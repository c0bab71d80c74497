#include "netdb/store/rescue.hpp"

#include <algorithm>
#include <fstream>
#include <iterator>
#include <limits>
#include <optional>
#include <set>
#include <system_error>

#include <fmt/format.h>

#include "netdb/store/opening.hpp"
#include "netdb/store/rescue_inside.hpp"
#include "netdb/store/schema.hpp"

// Reading past damage: forward to the first page that cannot be read, backward from the end to the last, and
// between them by halving the range of keys, down to single rows.

namespace landfall::store {
namespace {

constexpr int kMostProbes = 20'000;  // a table, so that no file takes for ever
constexpr std::int64_t kLeastKey = std::numeric_limits<std::int64_t>::min() / 4;
constexpr std::int64_t kMostKey = std::numeric_limits<std::int64_t>::max() / 4;

struct Finalize {
  void operator()(sqlite3_stmt* statement) const { sqlite3_finalize(statement); }
};
using Handle = std::unique_ptr<sqlite3_stmt, Finalize>;

Handle prepared(const Database& database, const std::string& sql) {
  sqlite3_stmt* statement = nullptr;
  if (sqlite3_prepare_v2(database.handle(), sql.c_str(), -1, &statement, nullptr) != SQLITE_OK)
    return nullptr;
  return Handle(statement);
}

std::string listed(const std::vector<std::string>& words, const char* behind = "") {
  std::string text;
  for (const std::string& word : words)
    text += fmt::format("{}\"{}\"{}", text.empty() ? "" : ", ", word, behind);
  return text;
}

class TableReader {
 public:
  TableReader(const Database& from, const Database& to, const TableShape& shape, RescuedTable& report)
      : from_(from), shape_(shape), report_(report), to_(to) {
    std::string marks;
    for (const TableColumn& column : shape.columns) {
      columns_.push_back(column.name);
      marks += marks.empty() ? "?" : ",?";
    }
    insert_ =
        prepared(to, fmt::format("INSERT INTO \"{}\" ({}) VALUES ({})", shape.name, listed(columns_), marks));
  }

  void run() {
    if (!insert_ || pass("", std::nullopt, {}, false)) return;
    pass("", std::nullopt, {}, true);
    if (shape_.by_rowid) return gap(std::nullopt, "rowid", {kLeastKey, kMostKey});
    const TableColumn* first = shape_.column(shape_.key.front());
    if (first == nullptr || first->type != "INTEGER") return;
    const TableColumn* second = shape_.key.size() > 1 ? shape_.column(shape_.key[1]) : nullptr;
    const bool counted = second != nullptr && second->type == "INTEGER";
    for (const std::int64_t value : prefixes()) {
      if (counted) {
        gap(value, second->name, {kLeastKey, kMostKey});
        continue;
      }
      const std::string where = fmt::format("\"{}\" = ?1", first->name);
      if (!pass(where, value, {}, false)) pass(where, value, {}, true);
    }
  }

 private:
  struct Range {
    std::int64_t low = 0, high = 0;
  };

  // Reads the rows that the condition takes, in the key's order or against it. False at the first page that
  // cannot be read; `edge_` is then the last row's value of `counted_`, if there was a row.
  bool pass(const std::string& where, std::optional<std::int64_t> prefix, Range range, bool back) {
    ++probes_;
    edge_.reset();
    const std::string sql =
        fmt::format("SELECT {}{} FROM \"{}\" NOT INDEXED{}{} ORDER BY {}", listed(columns_),
                    counted_.empty() ? std::string() : fmt::format(", \"{}\"", counted_), shape_.name,
                    where.empty() ? "" : " WHERE ", where, listed(shape_.key, back ? " DESC" : ""));
    if (sql != sql_ || !rows_) rows_ = prepared(from_, sql);
    sql_ = sql;
    if (!rows_) return note_damage();
    if (prefix) sqlite3_bind_int64(rows_.get(), 1, *prefix);
    if (where.find("?2") != std::string::npos) {
      sqlite3_bind_int64(rows_.get(), 2, range.low);
      sqlite3_bind_int64(rows_.get(), 3, range.high);
    }
    int code = SQLITE_ROW;
    while ((code = sqlite3_step(rows_.get())) == SQLITE_ROW) take(rows_.get());
    if (code != SQLITE_DONE) note_damage();
    sqlite3_reset(rows_.get());
    return code == SQLITE_DONE;
  }

  bool note_damage() {
    if (report_.damage.empty()) report_.damage = sqlite3_errmsg(from_.handle());
    return false;
  }

  void take(sqlite3_stmt* row) {
    const int count = static_cast<int>(columns_.size());
    if (!counted_.empty()) edge_ = sqlite3_column_int64(row, count);
    const auto faults = faults_of(row);
    const bool mend = !faults.empty() && can_be_mended(faults);
    if (!faults.empty() && !mend) return refuse(row);
    sqlite3_reset(insert_.get());
    for (int i = 0; i < count; ++i) sqlite3_bind_value(insert_.get(), i + 1, sqlite3_column_value(row, i));
    if (mend) bind_made_up(row, faults);
    const int code = sqlite3_step(insert_.get());
    if (code == SQLITE_DONE) {
      ++report_.kept;
      report_.mended += mend ? 1 : 0;
    } else if (sqlite3_extended_errcode(to_.handle()) != SQLITE_CONSTRAINT_PRIMARYKEY &&
               sqlite3_extended_errcode(to_.handle()) != SQLITE_CONSTRAINT_ROWID) {
      refuse(row);  // else it was read before, from the other side
    }
  }

  // The places of the columns whose values cannot be.
  [[nodiscard]] std::vector<std::size_t> faults_of(sqlite3_stmt* row) const {
    std::vector<std::size_t> faults;
    for (std::size_t i = 0; i < columns_.size(); ++i) {
      if (!can_be(shape_.name, shape_.columns[i], sqlite3_column_value(row, static_cast<int>(i))))
        faults.push_back(i);
    }
    if (shape_.name == "setting" && faults.empty()) {
      const auto* name = reinterpret_cast<const char*>(sqlite3_column_text(row, 0));
      if (!can_be_setting(name == nullptr ? "" : name, sqlite3_column_double(row, 1))) faults.push_back(1);
    }
    return faults;
  }

  // A row that would be made up if it were lost keeps what can be of it, as long as its key can.
  [[nodiscard]] bool can_be_mended(const std::vector<std::size_t>& faults) const {
    return is_made_up_when_lost(shape_.name) &&
           std::none_of(faults.begin(), faults.end(), [&](std::size_t i) {
             const std::string& name = columns_[i];
             return name == "id" || std::find(shape_.key.begin(), shape_.key.end(), name) != shape_.key.end();
           });
  }

  void bind_made_up(sqlite3_stmt* row, std::vector<std::size_t> faults) {
    // A part of whose place anything is lost has none.
    static const std::set<std::string> place{"placed", "x", "y", "angle", "side"};
    const auto of_place = [&](std::size_t i) { return shape_.name == "part" && place.contains(columns_[i]); };
    if (std::any_of(faults.begin(), faults.end(), of_place)) {
      for (std::size_t i = 0; i < columns_.size(); ++i) {
        if (of_place(i)) faults.push_back(i);
      }
    }
    const auto key = std::find(columns_.begin(), columns_.end(), shape_.by_rowid ? "id" : shape_.key.back());
    const std::int64_t number = sqlite3_column_int64(row, static_cast<int>(key - columns_.begin()));
    for (const std::size_t i : faults) {
      const int at = static_cast<int>(i) + 1;
      const TableColumn& column = shape_.columns[i];
      if (!column.not_null) {
        sqlite3_bind_null(insert_.get(), at);
      } else if (column.type == "TEXT") {
        const std::string text = lost_name(shape_.name, column.name, number).value_or("");
        sqlite3_bind_text(insert_.get(), at, text.c_str(), static_cast<int>(text.size()), SQLITE_TRANSIENT);
      } else {
        sqlite3_bind_int(insert_.get(), at, 0);
      }
    }
  }

  // Once, though it may be read from either side.
  void refuse(sqlite3_stmt* row) {
    std::string key;
    for (std::size_t i = 0; i < columns_.size(); ++i) {
      const bool own = shape_.by_rowid
                           ? i == 0
                           : std::find(shape_.key.begin(), shape_.key.end(), columns_[i]) != shape_.key.end();
      if (!own) continue;
      const auto* text = reinterpret_cast<const char*>(sqlite3_column_text(row, static_cast<int>(i)));
      key += std::string(text == nullptr ? "" : text) + '\n';
    }
    if (refused_.insert(std::move(key)).second) ++report_.refused;
  }

  void gap(std::optional<std::int64_t> prefix, const std::string& column, Range range) {
    counted_ = column;
    halve(prefix,
          fmt::format("{}\"{}\" BETWEEN ?2 AND ?3",
                      prefix ? fmt::format("\"{}\" = ?1 AND ", shape_.key.front()) : std::string(), column),
          range);
    counted_.clear();
  }

  // A range that is read to its end is done; else it is read from both sides, and what is left between is
  // halved. The key has more columns behind where several rows share the counted one: it is looked at again.
  void halve(std::optional<std::int64_t> prefix, const std::string& where, Range range) {
    if (range.low > range.high || probes_ >= kMostProbes) return;
    if (pass(where, prefix, range, false)) return;
    const std::int64_t step = shape_.key.size() > 2 ? 0 : 1;
    if (edge_) range.low = std::max(range.low, *edge_ + step);
    if (range.low > range.high) return;
    pass(where, prefix, range, true);
    if (edge_) range.high = std::min(range.high, *edge_ - step);
    if (range.low >= range.high) return;
    const std::int64_t middle = range.low + (range.high - range.low) / 2;
    halve(prefix, where, {range.low, middle});
    halve(prefix, where, {middle + 1, range.high});
  }

  // Boards, jobs or gestures that this table may have rows of: those that any table read so far names.
  std::set<std::int64_t> prefixes() {
    std::set<std::int64_t> values;
    const std::string& name = shape_.key.front();
    const auto add = [&](const std::string& sql) {
      const Handle rows = prepared(to_, sql);
      while (rows && sqlite3_step(rows.get()) == SQLITE_ROW)
        values.insert(sqlite3_column_int64(rows.get(), 0));
    };
    for (const TableShape& other : table_shapes(to_)) {
      if (other.name == name) add(fmt::format("SELECT rowid FROM \"{}\"", other.name));
      if (other.column(name) != nullptr)
        add(fmt::format("SELECT DISTINCT \"{}\" FROM \"{}\"", name, other.name));
    }
    return values;
  }

  const Database& from_;
  const TableShape& shape_;
  RescuedTable& report_;
  const Database& to_;
  std::vector<std::string> columns_;
  Handle insert_, rows_;
  std::string sql_, counted_;
  std::optional<std::int64_t> edge_;
  std::set<std::string> refused_;
  int probes_ = 0;
};

std::filesystem::path beside(const std::filesystem::path& file, const char* ending) {
  std::filesystem::path other = file;
  other += ending;
  return other;
}

// Files that go when the rescue is over, whatever came of it.
class Scratch {
 public:
  explicit Scratch(std::filesystem::path file) : file_(std::move(file)) {}
  ~Scratch() {
    if (keep_) return;
    std::error_code ignored;
    for (const char* ending : {"", "-wal", "-shm", "-journal"})
      std::filesystem::remove(beside(file_, ending), ignored);
  }
  Scratch(const Scratch&) = delete;
  Scratch& operator=(const Scratch&) = delete;
  Scratch(Scratch&&) = delete;
  Scratch& operator=(Scratch&&) = delete;
  void keep() { keep_ = true; }
  [[nodiscard]] const std::filesystem::path& file() const { return file_; }

 private:
  std::filesystem::path file_;
  bool keep_ = false;
};

Status copy_with_log(const std::filesystem::path& file, const std::filesystem::path& copy) {
  std::error_code failed;
  std::filesystem::copy_file(file, copy, failed);
  if (!failed && std::filesystem::exists(beside(file, "-wal")))
    std::filesystem::copy_file(beside(file, "-wal"), beside(copy, "-wal"), failed);
  if (failed)
    return Error{ErrorCode::kBench,
                 fmt::format("{}: it cannot be copied: {}", file.string(), failed.message())};
  std::filesystem::permissions(copy, std::filesystem::perms::owner_read | std::filesystem::perms::owner_write,
                               std::filesystem::perm_options::add, failed);
  return std::monostate{};
}

// A number of the file's header, or a page's: https://www.sqlite.org/fileformat.html, 1.3 and 1.6.
std::int64_t big_end(const std::string& bytes, std::size_t at, std::size_t size) {
  std::int64_t value = 0;
  for (std::size_t i = 0; i < size && at + i < bytes.size(); ++i)
    value = value * 256 + static_cast<unsigned char>(bytes[at + i]);
  return value;
}

std::string bytes_of(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

// Whether the whole list of tables can be read.
bool lists_tables(const std::filesystem::path& file) {
  const auto from = Database::open(file);
  return from.ok() &&
         from->number("SELECT count(*) FROM sqlite_schema WHERE length(sql) >= 0").value_or(0) > 0;
}

constexpr std::size_t kHead = 100;

// Whether these 100 bytes cannot be a database file's head, by the values that the format fixes, or have lost
// both numbers that a bench file has there.
bool head_is_damaged(const std::string& head) {
  const std::int64_t page = big_end(head, 16, 2);
  const bool page_fits = page == 1 || (page >= 512 && (page & (page - 1)) == 0);
  const auto in = [&](std::size_t at, std::size_t size, std::int64_t least, std::int64_t most) {
    const std::int64_t value = big_end(head, at, size);
    return least <= value && value <= most;
  };
  return !head.starts_with(std::string_view("SQLite format 3\0", 16)) || !page_fits || !in(18, 1, 1, 2) ||
         !in(19, 1, 1, 2) || !in(21, 1, 64, 64) || !in(22, 1, 32, 32) || !in(23, 1, 32, 32) ||
         !in(44, 4, 1, 4) || !in(56, 4, 1, 3) || big_end(head, 60, 4) == 0 || big_end(head, 68, 4) == 0;
}

// Whether a page of a table or an index may begin here: its kind, its free block, how many cells, where they
// begin, how many free bytes. Source: https://www.sqlite.org/fileformat.html, 1.6.
bool looks_like_a_page(std::string_view page) {
  const std::string head(page.substr(0, 12));
  const auto size = static_cast<std::int64_t>(page.size());
  const std::int64_t kind = big_end(head, 0, 1);
  const bool inner = kind == 2 || kind == 5;
  if (!inner && kind != 10 && kind != 13) return false;
  const std::int64_t cells = big_end(head, 3, 2);
  const std::int64_t content = big_end(head, 5, 2) == 0 ? 65'536 : big_end(head, 5, 2);
  const std::int64_t pointers_end = (inner ? 12 : 8) + 2 * cells;
  return big_end(head, 1, 2) < size && pointers_end <= content && content <= size &&
         big_end(head, 7, 1) <= 60;
}

// The page size of a file without a head: that by which most of the file's pages begin as pages do. Nothing
// when fewer than a third do by any.
std::optional<std::size_t> guessed_page_size(std::string_view bytes) {
  std::optional<std::size_t> best;
  double most = 1.0 / 3;
  for (std::size_t size = 65'536; size >= 512; size /= 2) {
    const std::size_t pages = bytes.size() / size;
    std::size_t fit = 0;
    for (std::size_t i = 1; i < pages; ++i) fit += looks_like_a_page(bytes.substr(i * size, size)) ? 1U : 0U;
    // The smaller one of two that fit about as well: each page of a doubled size begins one as well.
    const double share = pages < 2 ? 0 : static_cast<double>(fit) / static_cast<double>(pages - 1);
    if (share < most * 0.85) continue;
    most = std::max(most, share);
    best = size;
  }
  return best;
}

void put_big_end(std::string& bytes, std::size_t at, std::size_t size, std::size_t value) {
  for (std::size_t i = 0; i < size; ++i)
    bytes[at + i] = static_cast<char>((value >> (8 * (size - 1 - i))) & 0xFFU);
}

// The version whose tables the file has, all of them and no others, column by column; none when there is
// none.
std::optional<std::int64_t> version_by_tables(const Database& from) {
  constexpr const char* kTables =
      "SELECT group_concat(sql, ';') FROM (SELECT sql FROM sqlite_schema WHERE type = 'table' AND name NOT "
      "LIKE 'sqlite\\_%' ESCAPE '\\' ORDER BY name)";
  const auto text_in = [&](const Database& database) {
    Statement statement(database, kTables);
    return statement.step() ? statement.text(0) : std::string();
  };
  const std::string own = text_in(from);
  if (own.empty()) return std::nullopt;
  const auto& all = migrations();
  const auto made = Database::open(":memory:");
  if (!made.ok()) return std::nullopt;
  for (std::size_t version = 0; version < all.size(); ++version) {
    if (!made->run(all[version]).ok()) return std::nullopt;
    if (text_in(*made) == own) return static_cast<std::int64_t>(version + 1);
  }
  return std::nullopt;
}

// A head in the place of a damaged one, by what the rest of the file says. False when the rest is no database
// or not the tables of a bench file; the copy is of no use then.
Result<bool> make_head(const std::filesystem::path& copy) {
  const std::string bytes = bytes_of(copy);
  const auto page = guessed_page_size(bytes);
  if (!page) return false;
  const std::size_t pages = bytes.size() / *page;
  std::error_code none;
  const auto log = std::filesystem::file_size(beside(copy, "-wal"), none);
  const bool has_log = !none && log > 0;
  std::string head(kHead, '\0');
  head.replace(0, 16, std::string_view("SQLite format 3\0", 16));
  put_big_end(head, 16, 2, *page == 65'536 ? 1 : *page);
  head[18] = head[19] = has_log ? 2 : 1;
  head[21] = 64;
  head[22] = head[23] = 32;
  put_big_end(head, 24, 4, 1);
  put_big_end(head, 28, 4, pages);  // holds as long as both counters are equal
  put_big_end(head, 40, 4, 1);
  put_big_end(head, 44, 4, 4);
  put_big_end(head, 56, 4, 1);
  put_big_end(head, 60, 4, static_cast<std::size_t>(newest_version()));
  put_big_end(head, 68, 4, static_cast<std::size_t>(kApplicationId));
  put_big_end(head, 92, 4, 1);
  const auto put = [&] {
    std::fstream file(copy, std::ios::binary | std::ios::in | std::ios::out);
    file.write(head.data(), static_cast<std::streamsize>(head.size()));
    return file.good();
  };
  if (!put()) return Error{ErrorCode::kBench, copy.string() + ": it cannot be written"};
  std::optional<std::int64_t> version;
  {
    const auto from = Database::open(copy);
    if (!from.ok()) return false;
    version = version_by_tables(*from);
  }
  // Where the list of tables is damaged as well, the file is taken to be of the newest version: the list is
  // put there next, and what then cannot be read as rows of it is left out.
  if (!version) return !lists_tables(copy);
  put_big_end(head, 60, 4, static_cast<std::size_t>(*version));
  if (!put()) return Error{ErrorCode::kBench, copy.string() + ": it cannot be written"};
  return true;
}

// The list of tables lies on the first pages of a file, at the same places in each that this program made at
// one version: where it cannot be read, the pages of a fresh file stand in for it. What is read by them must
// still fit the tables' columns. False when the file's head does not say that it is a bench file.
Result<bool> graft_list_of_tables(const std::filesystem::path& copy, const std::filesystem::path& beside_it) {
  constexpr std::size_t kPage = 4096;
  std::string head(kHead, '\0');
  std::ifstream(copy, std::ios::binary).read(head.data(), kHead);
  const std::int64_t version = big_end(head, 60, 4);
  if (!head.starts_with("SQLite format 3") || big_end(head, 68, 4) != kApplicationId || version < 1 ||
      version > newest_version() || big_end(head, 16, 2) != static_cast<std::int64_t>(kPage))
    return false;
  const Scratch fresh(beside_it);
  {
    auto made = Database::open(fresh.file());
    if (!made.ok()) return made.error();
    const auto& all = migrations();
    if (auto ready = migrate(*made, fresh.file().string(), {all.begin(), all.begin() + version}); !ready.ok())
      return ready.error();
  }
  const std::string good = bytes_of(fresh.file());
  std::fstream file(copy, std::ios::binary | std::ios::in | std::ios::out);
  const auto put = [&](std::size_t from, std::size_t to) {
    if (to > good.size()) return;
    file.seekp(static_cast<std::streamoff>(from));
    file.write(good.data() + from, static_cast<std::streamsize>(to - from));
  };
  const auto put_page = [&](std::int64_t number) {
    const auto page = static_cast<std::size_t>(number);
    if (number > 1) put((page - 1) * kPage, page * kPage);
  };
  put(kHead, kPage);
  // Page 1 is the root; where it is an inner page (type 5), its children hold the list.
  if (good.size() > kPage && good[kHead] == 5) {
    const std::int64_t cells = big_end(good, kHead + 3, 2);
    put_page(big_end(good, kHead + 8, 4));
    for (std::size_t i = 0; i < static_cast<std::size_t>(cells); ++i)
      put_page(big_end(good, static_cast<std::size_t>(big_end(good, kHead + 12 + i * 2, 2)), 4));
  }
  return file.good();
}

// The version of the damaged file, when it is a bench file at all.
Result<std::int64_t> version_of(const Database& from, const std::string& name) {
  const auto application = from.number("PRAGMA application_id");
  const auto version = from.number("PRAGMA user_version");
  const auto tables = from.number("SELECT count(*) FROM sqlite_schema WHERE type = 'table'");
  if (!application || !version || !tables || *tables == 0)
    return Error{ErrorCode::kBench, name + ": the head of the file cannot be read: nothing can be saved"};
  if (*application != kApplicationId)
    return Error{ErrorCode::kBench, name + ": this is no bench file but another program's database"};
  if (*version > newest_version())
    return Error{ErrorCode::kBench, name + ": this bench file is from a newer version of Landfall"};
  if (*version < 1) return Error{ErrorCode::kBench, name + ": it does not say its version"};
  return *version;
}

// What a board is made of; a loss in any of these tables may be any board's.
constexpr std::string_view kBoardTables[] = {"source", "layer", "net", "net_alias", "part", "pin",  "land",
                                             "track",  "arc",   "via", "fill",      "zone", "hole", "edge"};

// A bench that knows a file by its content reads it no second time. After a loss it must, so it forgets what
// it knew.
Status want_files_again(const Database& to, const std::vector<RescuedTable>& tables) {
  const bool lost = std::any_of(tables.begin(), tables.end(), [](const RescuedTable& t) {
    const bool of_board =
        std::find(std::begin(kBoardTables), std::end(kBoardTables), t.name) != std::end(kBoardTables);
    return of_board && (!t.damage.empty() || t.refused + t.mended + t.dropped + t.invented + t.missing > 0);
  });
  if (!lost) return done();
  return to.run(fmt::format("UPDATE source SET hash = '{}' || id", kRescuedHash).c_str());
}

Status fill(const Database& from, const Database& to, std::int64_t version, const std::string& name,
            Rescued& rescued) {
  const auto& all = migrations();
  // The commit at the end writes the whole file through to the disk; until then it is nobody's.
  if (auto off = to.run("PRAGMA synchronous = OFF"); !off.ok()) return off;
  if (auto made = migrate(to, name, {all.begin(), all.begin() + version}); !made.ok()) return made;
  if (auto on = to.run("PRAGMA synchronous = FULL"); !on.ok()) return on;
  if (auto off = to.run("PRAGMA foreign_keys = OFF"); !off.ok()) return off;
  Transaction transaction(to);
  if (!transaction.begun()) return to.error();
  const auto shapes = table_shapes(to);
  for (const TableShape& shape : shapes) {
    RescuedTable& report = rescued.tables.emplace_back();
    report.name = shape.name;
    TableReader(from, to, shape, report).run();
  }
  if (auto mended = mend_rows(to, shapes, rescued.tables); !mended.ok()) return mended;
  if (auto wanted = want_files_again(to, rescued.tables); !wanted.ok()) return wanted;
  return transaction.commit();
}

Error nothing_can_be_saved(const std::filesystem::path& file) {
  return {ErrorCode::kBench,
          file.string() +
              ": this is no bench file, or its head and what follows it are damaged: nothing can be saved"};
}

}  // namespace

bool Rescued::whole() const {
  return notes.empty() && std::all_of(tables.begin(), tables.end(), [](const RescuedTable& t) {
           return t.damage.empty() && t.refused + t.mended + t.dropped + t.invented + t.missing == 0;
         });
}

Result<Rescued> rescue(const std::filesystem::path& file, const std::filesystem::path& out) {
  std::error_code failed;
  if (!std::filesystem::is_regular_file(file, failed))
    return Error{ErrorCode::kNotFound, file.string() + ": there is no such file"};
  for (const char* ending : {"", "-wal", "-journal"}) {
    if (std::filesystem::exists(beside(out, ending), failed))
      return Error{ErrorCode::kUsage, beside(out, ending).string() + " is there already: name a new file"};
  }
  const Scratch copy(beside(out, ".damaged"));
  Scratch fresh(out);
  if (auto copied = copy_with_log(file, copy.file()); !copied.ok()) return copied.error();
  Rescued rescued;
  bool guessed = false;  // neither head nor list of tables says that this is a bench file
  std::string head(kHead, '\0');
  std::ifstream(copy.file(), std::ios::binary).read(head.data(), static_cast<std::streamsize>(kHead));
  if (head_is_damaged(head)) {
    const auto made = make_head(copy.file());
    if (!made.ok()) return made.error();
    if (!*made) return nothing_can_be_saved(file);
    rescued.notes.emplace_back("the file's head was damaged: it was made anew from what follows it");
    guessed = !lists_tables(copy.file());
  }
  if (!lists_tables(copy.file())) {
    // The log has its own copy of pages: what was taken in by it stands, so it goes into the file first.
    if (auto log = Database::open(copy.file()); log.ok())
      sqlite3_wal_checkpoint_v2(log->handle(), nullptr, SQLITE_CHECKPOINT_TRUNCATE, nullptr, nullptr);
    const auto grafted = graft_list_of_tables(copy.file(), beside(out, ".fresh"));
    if (!grafted.ok()) return grafted.error();
    if (*grafted)
      rescued.notes.emplace_back(
          "the list of tables was damaged: tables were read where this program puts them in a new file");
  }
  {
    auto from = Database::open(copy.file());
    if (!from.ok()) return from.error();
    // A list of tables with a fault in it is read as far as it goes.
    if (auto set = from->run("PRAGMA trusted_schema = OFF; PRAGMA writable_schema = ON"); !set.ok())
      return set.error();
    const auto version = version_of(*from, file.string());
    if (!version.ok()) return version.error();
    auto to = Database::open(out);
    if (!to.ok()) return to.error();
    if (auto filled = fill(*from, *to, *version, out.string(), rescued); !filled.ok()) return filled.error();
    const bool has_rows =
        std::any_of(rescued.tables.begin(), rescued.tables.end(),
                    [](const RescuedTable& t) { return t.name != "setting" && t.kept > 0; });
    if (guessed && !has_rows) return nothing_can_be_saved(file);
  }
  // Brought up to date as any older file is.
  if (auto opened = open_bench_file(out); !opened.ok()) return opened.error();
  fresh.keep();
  return rescued;
}

}  // namespace landfall::store
