#include "viewer/app/site_syntax.hpp"

#include <algorithm>
#include <map>

#include <fmt/format.h>

#include "netdb/model/ball_name.hpp"
#include "netdb/model/counted.hpp"
#include "netdb/packages/packages.hpp"

namespace landfall::app {
namespace {

Result<Index> part_of(const OpenBoard& board, const Job& job, std::string_view reference) {
  if (!reference.empty()) {
    auto part = find_part(board, reference);
    if (!part.ok()) return part;
    const std::string& name = board.board().parts[*part].reference;
    if (std::find(job.lifted.begin(), job.lifted.end(), name) == job.lifted.end()) {
      return Error{ErrorCode::kUsage, fmt::format("{} is not among the parts that this job lifted", name)};
    }
    return part;
  }
  if (job.lifted.size() != 1)
    return Error{ErrorCode::kUsage, "the job lifted several parts: write PART.BALL"};
  return find_part(board, job.lifted.front());
}

// "AB14" -> "AB", "14".
std::pair<std::string, std::string> letters_and_number(std::string_view ball) {
  const std::string plain = lower(plain_ball(ball));
  const auto digits = std::min(plain.find_first_of("0123456789"), plain.size());
  return {plain.substr(0, digits), plain.substr(digits)};
}

// The place in the grid that a name stands for, by the names of its row and column: the package may have no
// ball there, as many have none in a corner.
std::optional<Site> place_named(const OpenBoard& board, const Package& package, std::string_view ball) {
  const auto [letters, number] = letters_and_number(ball);
  Site place;
  for (const PackageSite& site : package.sites) {
    if (site.site.row <= 0) continue;
    const auto [row, column] = letters_and_number(board.board().pins[site.pin].number);
    if (row == letters) place.row = site.site.row;
    if (column == number) place.column = site.site.column;
  }
  if (letters.empty() || number.empty() || place.row <= 0 || place.column <= 0) return std::nullopt;
  return place;
}

// The balls in the rectangle between two corners.
Result<std::vector<Index>> rectangle(const OpenBoard& board, Index part, std::string_view first,
                                     std::string_view last) {
  const Package package = packages::package_of(board.index(), part);
  const auto corner = [&](std::string_view ball) -> Result<std::optional<Site>> {
    const auto pin = find_ball(board, part, ball);
    if (pin.ok()) {
      for (const PackageSite& site : package.sites) {
        if (site.pin == *pin && site.site.row > 0) return std::optional<Site>(site.site);
      }
      return std::optional<Site>();
    }
    const auto place = place_named(board, package, ball);
    if (!place) return pin.error();
    return place;
  };
  const auto from = corner(first);
  if (!from.ok()) return from.error();
  const auto to = corner(last);
  if (!to.ok()) return to.error();
  const std::optional<Site>& a = *from;
  const std::optional<Site>& b = *to;
  if (package.kind != PackageKind::kAreaArray || !a || !b) {
    return Error{ErrorCode::kUsage, fmt::format("{} is no grid of balls: name its pins one by one",
                                                board.board().parts[part].reference)};
  }
  std::vector<Index> pins;
  for (const PackageSite& site : package.sites) {
    const bool in_rows =
        site.site.row >= std::min(a->row, b->row) && site.site.row <= std::max(a->row, b->row);
    const bool in_columns = site.site.column >= std::min(a->column, b->column) &&
                            site.site.column <= std::max(a->column, b->column);
    if (in_rows && in_columns) pins.push_back(site.pin);
  }
  return pins;
}

}  // namespace

Result<MarkKind> kind_named(std::string_view text) {
  if (const auto kind = mark_kind(lower(text))) return *kind;
  return Error{
      ErrorCode::kUsage,
      fmt::format("{} is no kind of mark; the kinds are sound, mask, loose, missing, torn, barrel, chip",
                  text)};
}

std::vector<std::string> words_in(std::string_view text, std::string_view between) {
  std::vector<std::string> words;
  std::string word;
  for (const char c : std::string(text) + between.front()) {
    if (between.find(c) == std::string_view::npos) {
      word += c;
    } else if (!word.empty()) {
      words.push_back(std::move(word));
      word.clear();
    }
  }
  return words;
}

Result<std::vector<Index>> sites_named(const OpenBoard& board, const Job& job, std::string_view sites) {
  const auto range = sites.find("..");
  const std::string_view first = sites.substr(0, range);
  const auto dot = first.rfind('.');
  const std::string_view reference =
      dot == std::string_view::npos ? std::string_view() : first.substr(0, dot);
  const auto part = part_of(board, job, reference);
  if (!part.ok()) return part.error();
  const std::string_view one = dot == std::string_view::npos ? first : first.substr(dot + 1);
  if (range == std::string_view::npos) {
    const auto pin = find_ball(board, *part, one);
    if (!pin.ok()) return pin.error();
    return std::vector<Index>{*pin};
  }
  std::string_view second = sites.substr(range + 2);
  if (const auto again = second.rfind('.'); again != std::string_view::npos) second.remove_prefix(again + 1);
  auto pins = rectangle(board, *part, one, second);
  if (pins.ok() && pins->empty())
    return Error{ErrorCode::kNotFound, fmt::format("{} has no ball within {}..{}",
                                                   board.board().parts[*part].reference, one, second)};
  return pins;
}

Result<TypedMarks> parse_marks(const OpenBoard& board, const Job& job, const std::vector<std::string>& words,
                               bool off) {
  TypedMarks typed;
  std::map<Index, std::size_t> at;  // where a pin's change stands: the last kind named for it holds
  std::vector<std::string> open;    // sites that wait for their kind
  const auto take = [&](const std::string& sites, std::optional<MarkKind> kind) -> Status {
    const auto pins = sites_named(board, job, sites);
    if (!pins.ok()) return pins.error();
    for (const Index pin : *pins) {
      const Pin& p = board.board().pins[pin];
      const store::MarkChange change{board.board().parts[p.part].reference, p.number, kind, std::nullopt};
      const auto [entry, fresh] = at.try_emplace(pin, typed.changes.size());
      if (fresh) {
        typed.changes.push_back(change);
      } else {
        typed.changes[entry->second] = change;
      }
    }
    return done();
  };
  std::string last_kind = off ? "off" : "";
  for (const std::string& word : words) {
    const auto equals = word.find('=');
    if (off || equals == std::string::npos) {
      const auto kind = off ? std::nullopt : mark_kind(lower(word));
      if (!kind) {
        open.push_back(word);
        continue;
      }
      last_kind = landfall::word(*kind);
      for (const std::string& sites : open) {
        if (auto taken = take(sites, kind); !taken.ok()) return taken.error();
      }
      open.clear();
      continue;
    }
    const auto kind = kind_named(std::string_view(word).substr(equals + 1));
    if (!kind.ok()) return kind.error();
    last_kind = landfall::word(*kind);
    if (auto taken = take(word.substr(0, equals), *kind); !taken.ok()) return taken.error();
  }
  if (!open.empty() && !off) {
    // A last word that is neither a site nor a kind is most likely a kind misspelt.
    if (words.size() > 1 && !sites_named(board, job, open.back()).ok()) {
      const auto kind = kind_named(open.back());
      if (!kind.ok()) return kind.error();
    }
    return Error{ErrorCode::kUsage, fmt::format("{}: write SITE=KIND, such as AB14=torn", open.back())};
  }
  for (const std::string& sites : open) {
    if (auto taken = take(sites, std::nullopt); !taken.ok()) return taken.error();
  }
  if (typed.changes.size() == 1) {
    typed.words = fmt::format("{}.{} {}", typed.changes[0].part, typed.changes[0].ball, last_kind);
  } else {
    const bool one_kind = std::all_of(typed.changes.begin(), typed.changes.end(), [&](const auto& change) {
      return change.kind == typed.changes.front().kind;
    });
    typed.words =
        fmt::format("{} {}", count_of(typed.changes.size(), "site"), one_kind ? last_kind : "marked");
  }
  return typed;
}

}  // namespace landfall::app
