#include "viewer/app/lists.hpp"

#include <algorithm>
#include <optional>
#include <set>

#include <fmt/format.h>

#include "netdb/join/by_name.hpp"
#include "netdb/join/signal_name.hpp"
#include "netdb/model/ball_name.hpp"
#include "netdb/model/board_index.hpp"
#include "netdb/slots/slots.hpp"
#include "viewer/app/desk.hpp"
#include "viewer/app/part_edit.hpp"

namespace landfall::app {
namespace {

Result<store::Origin> origin_as_kept(store::Bench& bench, std::int64_t board) {
  auto sources = bench.sources(board);
  if (!sources.ok()) return sources.error();
  auto disagreements = bench.disagreements(board);
  if (!disagreements.ok()) return disagreements.error();
  return store::Origin{std::move(sources).value(), std::move(disagreements).value(), now_utc()};
}

// A board of nothing but lists and bare packages, with one part singled out.
struct BareBoard {
  Board board;
  store::Origin origin;
  Index part = kNone;
};

Result<BareBoard> bare_board_of(store::Bench& bench, const store::BoardInfo& info,
                                const std::string& reference) {
  auto board = bench.board(info.id);
  if (!board.ok()) return board.error();
  auto origin = origin_as_kept(bench, info.id);
  if (!origin.ok()) return origin.error();
  for (const store::SourceFile& source : origin->sources) {
    if (importers::is_bare_part(source.format)) continue;
    return Error{ErrorCode::kInput,
                 fmt::format("{} comes from {}: its sites are the file's; a fact names a ball", info.name,
                             source.name)};
  }
  BareBoard bare{std::move(board).value(), std::move(origin).value(), kNone};
  for (Index i = 0; i < bare.board.parts.size(); ++i) {
    if (lower(bare.board.parts[i].reference) == lower(reference)) bare.part = i;
  }
  if (bare.part == kNone)
    return Error{ErrorCode::kNotFound, fmt::format("{} has no part {}", info.name, reference)};
  return bare;
}

// A rectangle, or the one site twice: its corner next to A1 and the one across.
struct Corners {
  Site from, to;
};

// "C3..F6" is the rectangle, "E5" the one site. kUsage for another form.
Result<Corners> corners_of(const std::string& word) {
  const auto dots = word.find("..");
  const auto from = parse_ball(std::string_view(word).substr(0, dots));
  const auto to = dots == std::string::npos ? from : parse_ball(std::string_view(word).substr(dots + 2));
  if (!from || !to)
    return Error{ErrorCode::kUsage, fmt::format("{}: a site is written E5, a rectangle C3..F6", word)};
  constexpr int kMost = 999;
  if (std::max(from->column, to->column) > kMost)
    return Error{ErrorCode::kUsage, fmt::format("{}: no package is that wide", word)};
  return Corners{{std::min(from->row, to->row), std::min(from->column, to->column)},
                 {std::max(from->row, to->row), std::max(from->column, to->column)}};
}

Result<std::set<Site>> sites_of(const std::vector<std::string>& words) {
  std::set<Site> sites;
  for (const std::string& word : words) {
    const auto corners = corners_of(word);
    if (!corners.ok()) return corners.error();
    for (int row = corners->from.row; row <= corners->to.row; ++row) {
      for (int column = corners->from.column; column <= corners->to.column; ++column)
        sites.insert({row, column});
    }
  }
  return sites;
}

// kNotFound for a corner beyond the last row or column that has a ball.
Status on_package(const Board& board, Index part, const std::string& word) {
  const auto corners = corners_of(word);
  if (!corners.ok()) return corners.error();
  Site last;
  for (const Pin& pin : board.pins) {
    const auto site = pin.part == part ? parse_ball(pin.number) : std::nullopt;
    if (site) last = {std::max(last.row, site->row), std::max(last.column, site->column)};
  }
  const auto& to = corners->to;
  if (to.row <= last.row && to.column <= last.column) return done();
  const std::string& reference = board.parts[part].reference;
  if (last.row == 0) return Error{ErrorCode::kNotFound, reference + " is no grid of balls"};
  return Error{ErrorCode::kNotFound,
               fmt::format("{} has no site {}: its last row is {}, its last column {}", reference,
                           ball_text(to), row_letters(last.row), last.column)};
}

Result<PackageEdit> keep(store::Bench& bench, const store::BoardInfo& info, const Board& before,
                         BareBoard bare, std::size_t changed) {
  PackageEdit edit{changed, changes_under_jobs(bench, info.id, before, bare.board)};
  if (changed == 0) return edit;
  if (const Status kept = bench.replace_board(info.id, bare.board, bare.origin); !kept.ok())
    return kept.error();
  return edit;
}

}  // namespace

Result<ImportReport> add_slot(store::Bench& bench, const store::BoardInfo& info, const std::string& reference,
                              const std::string& name) {
  const slots::Slot* slot = slots::named(name);
  if (slot == nullptr) {
    std::string known;
    for (const slots::Slot& one : slots::all())
      known += fmt::format("{}{}", known.empty() ? "" : ", ", one.name);
    return Error{ErrorCode::kNotFound, fmt::format("there is no slot {}; known: {}", name, known)};
  }
  Diagnostics log;
  const std::string file = std::string(slot->name) + ".csv";
  auto design = importers::read_design(slot->table, file, log, {});
  if (!design.ok()) return design.error();
  auto board = bench.board(info.id);
  if (!board.ok()) return board.error();
  auto origin = origin_as_kept(bench, info.id);
  if (!origin.ok()) return origin.error();
  design->board.parts.front().value = slot->name;
  if (const Status added = join::add_list_part(*board, design->board, reference); !added.ok())
    return added.error();
  origin->sources.push_back(
      {file, design->format, design->version, store::content_hash(slot->table), log.folded(), reference});
  if (const Status kept = bench.replace_board(info.id, *board, *origin); !kept.ok()) return kept.error();
  ImportReport report;
  report.sources = origin->sources;
  report.disagreements = origin->disagreements;
  report.notes.push_back(
      fmt::format("{} is {}, {} pins, from: {}", reference, slot->standard, slot->pins, slot->source));
  auto again = bench.board_info(info.id);
  if (!again.ok()) return again.error();
  report.board = std::move(again).value();
  return report;
}

SideName side_name(const std::string& text) {
  const auto colon = text.find(':');
  if (colon == std::string::npos || colon + 1 == text.size()) return {"", text};
  return {text.substr(0, colon), text.substr(colon + 1)};
}

Result<std::vector<join::NameGroup>> name_suggestions(store::Bench& bench, std::int64_t id) {
  const auto reading = bench.reading();
  const auto board = bench.board(id);
  if (!board.ok()) return board.error();
  const auto aliases = bench.aliases(id);
  if (!aliases.ok()) return aliases.error();
  return join::suggestions(*board, *aliases);
}

std::vector<NameAlias> aliases_of(const join::NameGroup& group) {
  std::vector<NameAlias> aliases;
  for (const join::NamePair& pair : group.pairs)
    aliases.push_back({0, group.part, pair.name, group.to_part, pair.to_name,
                       fmt::format("{} are {}, {}", group.pattern, group.to_pattern, group.reason)});
  return aliases;
}

Result<PackageEdit> rub_out(store::Bench& bench, const store::BoardInfo& info, const std::string& part,
                            const std::vector<std::string>& words) {
  auto bare = bare_board_of(bench, info, part);
  if (!bare.ok()) return bare.error();
  const auto sites = sites_of(words);
  if (!sites.ok()) return sites.error();
  for (const std::string& word : words) {
    if (const Status there = on_package(bare->board, bare->part, word); !there.ok()) return there.error();
  }
  const Board before = bare->board;
  Board& board = bare->board;
  std::vector<Index> place(board.pins.size(), kNone);
  std::vector<Pin> pins;
  std::size_t left = 0;
  for (Index i = 0; i < board.pins.size(); ++i) {
    const auto site = board.pins[i].part == bare->part ? parse_ball(board.pins[i].number) : std::nullopt;
    if (site && sites->count(*site)) continue;
    left += board.pins[i].part == bare->part ? 1U : 0U;
    place[i] = static_cast<Index>(pins.size());
    pins.push_back(std::move(board.pins[i]));
  }
  if (left == 0) return Error{ErrorCode::kUsage, "no site would be left"};
  const std::size_t changed = place.size() - pins.size();
  board.pins = std::move(pins);
  std::vector<Land> lands;
  for (Land& land : board.lands) {
    if (land.pin != kNone && place[land.pin] == kNone) continue;
    if (land.pin != kNone) land.pin = place[land.pin];
    lands.push_back(std::move(land));
  }
  board.lands = std::move(lands);
  drop_empty_nets(board);
  return keep(bench, info, before, std::move(bare).value(), changed);
}

namespace {

// Each range of balls as the balls in it. kNotFound for a range without one, or off the package.
Result<std::vector<SiteName>> one_by_one(const Board& board, Index part, const std::vector<SiteName>& names) {
  std::vector<SiteName> all;
  for (const SiteName& one : names) {
    if (one.ball.find("..") == std::string::npos) {
      all.push_back(one);
      continue;
    }
    if (const Status there = on_package(board, part, one.ball); !there.ok()) return there.error();
    auto within = named_sites(board, part, {one.ball});
    if (!within.ok()) return within.error();
    if (within->empty())
      return Error{ErrorCode::kNotFound,
                   fmt::format("{} has no ball within {}", board.parts[part].reference, one.ball)};
    for (SiteName& ball : *within) all.push_back({std::move(ball.ball), one.name, one.type});
  }
  return all;
}

// Names on the board; how many were new. kNotFound for a ball that is not there.
Result<std::size_t> name_on(Board& board, Index part, const std::vector<SiteName>& names) {
  PartNames part_names(board, part);
  std::size_t changed = 0;
  for (const SiteName& one : names) {
    const Index pin = part_names.pin(one.ball);
    if (pin == kNone)
      return Error{ErrorCode::kNotFound,
                   fmt::format("{} has no ball {}", board.parts[part].reference, one.ball)};
    changed += part_names.name(pin, {one.name, "", one.type}) ? 1U : 0U;
  }
  drop_empty_nets(board);
  return changed;
}

Result<PackageEdit> put_sites(store::Bench& bench, const store::BoardInfo& info, const std::string& part,
                              std::set<Site> sites, std::vector<SiteName> names) {
  auto bare = bare_board_of(bench, info, part);
  if (!bare.ok()) return bare.error();
  const Board before = bare->board;
  for (const Pin& pin : before.pins) {
    const auto site = pin.part == bare->part ? parse_ball(pin.number) : std::nullopt;
    if (site) sites.erase(*site);
  }
  if (const Status put = put_sites_on(bare->board, bare->part, sites); !put.ok()) return put.error();
  // What is back has its name and type again; a ball that was there keeps its own.
  std::erase_if(names, [&](const SiteName& n) {
    const auto site = parse_ball(n.ball);
    return !site || !sites.contains(*site);
  });
  if (const auto named = name_on(bare->board, bare->part, names); !named.ok()) return named.error();
  return keep(bench, info, before, std::move(bare).value(), sites.size());
}

}  // namespace

Result<PackageEdit> put_back(store::Bench& bench, const store::BoardInfo& info, const std::string& part,
                             const std::vector<std::string>& words) {
  auto sites = sites_of(words);
  if (!sites.ok()) return sites.error();
  return put_sites(bench, info, part, std::move(sites).value(), {});
}

Result<PackageEdit> put_back_named(store::Bench& bench, const store::BoardInfo& info, const std::string& part,
                                   const std::vector<SiteName>& names) {
  std::set<Site> sites;
  for (const SiteName& one : names) {
    const auto site = parse_ball(one.ball);
    if (!site) return Error{ErrorCode::kUsage, fmt::format("{} is no ball of a grid", one.ball)};
    sites.insert(*site);
  }
  return put_sites(bench, info, part, std::move(sites), names);
}

Result<std::vector<SiteName>> named_sites(const Board& board, Index part,
                                          const std::vector<std::string>& words) {
  const auto sites = sites_of(words);
  if (!sites.ok()) return sites.error();
  std::vector<SiteName> names;
  for (const Pin& pin : board.pins) {
    const auto site = pin.part == part ? parse_ball(pin.number) : std::nullopt;
    if (site && sites->count(*site)) names.push_back({pin.number, pin.function, pin.type});
  }
  return names;
}

Result<PackageEdit> name_balls(store::Bench& bench, const store::BoardInfo& info, const std::string& part,
                               const std::vector<SiteName>& names) {
  auto bare = bare_board_of(bench, info, part);
  if (!bare.ok()) return bare.error();
  const Board before = bare->board;
  const auto balls = one_by_one(bare->board, bare->part, names);
  if (!balls.ok()) return balls.error();
  const auto changed = name_on(bare->board, bare->part, *balls);
  if (!changed.ok()) return changed.error();
  return keep(bench, info, before, std::move(bare).value(), *changed);
}

}  // namespace landfall::app
