#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "netdb/model/diagnostics.hpp"
#include "netdb/model/job.hpp"
#include "netdb/model/photo.hpp"
#include "netdb/model/reading.hpp"
#include "netdb/model/settings.hpp"
#include "netdb/model/signal.hpp"
#include "netdb/store/board_rows.hpp"
#include "netdb/store/rescue_inside.hpp"

// What a value of a bench file can be. The words, lengths and places of copper are the board reader's to
// judge (faults_of_board), and what a row refers to is judged once all lists are read.
//
// Text may be anything: names of files that are no UTF-8 are kept byte by byte, and all that shows or prints
// them makes do with that.

namespace landfall::store {
namespace {

constexpr std::int64_t kMostRows = 1'000'000'000'000;  // no bench gives such a number to a row
constexpr std::int64_t kMostTurns = 1'000'000'000;
constexpr std::int64_t kWidestPhoto = 100'000 - 1;  // pixels, as in bench_photos.cpp
constexpr double kMostMoney = 1e15;
constexpr double kFarthestPixel = 1e7;

template <class Enum>
constexpr std::int64_t number_of(Enum last) {
  return static_cast<std::int64_t>(last);
}

struct Range {
  std::string_view table, column;
  std::int64_t low, high;
};
constexpr std::array kRanges{
    Range{"", "id", 0, kMostRows},
    Range{"", "board", 0, kMostRows},
    Range{"", "job", 0, kMostRows},
    Range{"", "source", 0, kMostRows},
    Range{"", "gesture", 0, kMostRows},
    Range{"", "photo", 0, kMostRows},
    Range{"", "n", 0, kMostRows},
    Range{"board", "thickness", -kNoFarther, kNoFarther},
    Range{"diagnostic", "severity", 0, number_of(Severity::kError)},
    Range{"diagnostic", "line", 0, kMostRows},
    Range{"diagnostic", "col", 0, kMostRows},
    Range{"part", "x", -kNoFarther, kNoFarther},
    Range{"part", "y", -kNoFarther, kNoFarther},
    Range{"part", "side", 0, number_of(Side::kThrough)},
    Range{"pin", "type", 0, number_of(PinType::kNotConnected)},
    Range{"name_rule", "class", 0, number_of(SignalClass::kUnknown)},
    Range{"job", "safety", 0, number_of(SafetyAnswer::kYes)},
    Range{"mark", "kind", 0, kMarkKinds - 1},
    Range{"change", "kind_before", 0, kMarkKinds - 1},
    Range{"change", "kind_after", 0, kMarkKinds - 1},
    Range{"fact", "kind", 0, number_of(FactKind::kSpared)},
    Range{"fact", "x", -kNoFarther, kNoFarther},
    Range{"fact", "y", -kNoFarther, kNoFarther},
    Range{"fact", "reach", -kNoFarther, kNoFarther},
    Range{"outcome", "x", -kNoFarther, kNoFarther},
    Range{"outcome", "y", -kNoFarther, kNoFarther},
    Range{"intake", "turn", 0, kMostTurns},
    Range{"reading", "mode", 0, number_of(ReadingMode::kOhm)},
    Range{"reading", "stage", 0, number_of(ReadingStage::kAfter)},
    Range{"photo", "format", 0, number_of(PhotoFormat::kJpeg)},
    Range{"photo", "width", 1, kWidestPhoto},
    Range{"photo", "height", 1, kWidestPhoto},
    Range{"photo", "side", 0, number_of(Side::kBottom)},
    Range{"photo", "fit", 0, number_of(PhotoFit::kPerspective)},
    Range{"kept_number", "number", 0, kMostTurns},
};

struct RealRange {
  std::string_view table, column;
  double low, high;
};
constexpr std::array kRealRanges{
    RealRange{"said", "chance", 0, 1},
    RealRange{"said", "low", 0, 1},
    RealRange{"said", "high", 0, 1},
    RealRange{"said", "margin", -kMostMoney, kMostMoney},
    RealRange{"said", "if_works", -kMostMoney, kMostMoney},
    RealRange{"said", "if_fails", -kMostMoney, kMostMoney},
    RealRange{"photo_match", "x", -kFarthestPixel, kFarthestPixel},
    RealRange{"photo_match", "y", -kFarthestPixel, kFarthestPixel},
};

template <class List, class Number>
bool within(const List& list, const std::string& table, const std::string& column, Number value) {
  return std::all_of(list.begin(), list.end(), [&](const auto& range) {
    if (range.column != column || (!range.table.empty() && range.table != table)) return true;
    return range.low <= value && value <= range.high;
  });
}

// What a row is called that nobody knows any more.
struct LostName {
  std::string_view table, column, name;
};
constexpr std::array<LostName, 5> kLostNames{{{"board", "name", "lost board"},
                                              {"job", "title", "lost job"},
                                              {"net", "name", "lost net"},
                                              {"part", "reference", "LOST"},
                                              {"layer", "name", "lost layer"}}};

}  // namespace

bool can_be(const std::string& table, const TableColumn& column, sqlite3_value* value) {
  const int type = sqlite3_value_type(value);
  if (type == SQLITE_NULL) return !column.not_null;
  if (column.type == "TEXT") return type == SQLITE_TEXT;
  if (column.type == "BLOB") return type == SQLITE_BLOB;
  if (column.type == "INTEGER")
    return type == SQLITE_INTEGER && within(kRanges, table, column.name, sqlite3_value_int64(value));
  if (type != SQLITE_FLOAT && type != SQLITE_INTEGER) return false;
  const double real = sqlite3_value_double(value);
  return std::isfinite(real) && within(kRealRanges, table, column.name, real);
}

bool can_be_setting(const std::string& name, double value) {
  const SettingInfo* info = find_setting(name);
  return info == nullptr || (info->least <= value && value <= info->most);
}

bool is_made_up_when_lost(const std::string& table) {
  return std::any_of(kLostNames.begin(), kLostNames.end(),
                     [&](const LostName& lost) { return lost.table == table; });
}

std::optional<std::string> lost_name(const std::string& table, const std::string& column,
                                     std::int64_t number) {
  for (const LostName& lost : kLostNames) {
    if (lost.table == table && lost.column == column) return fmt::format("{} {}", lost.name, number);
  }
  return std::nullopt;
}

}  // namespace landfall::store
