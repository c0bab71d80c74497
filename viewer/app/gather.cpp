#include "viewer/app/gather.hpp"

#include <algorithm>
#include <fstream>
#include <iterator>
#include <optional>
#include <system_error>
#include <utility>

#include <fmt/format.h>

#include "importers/archive/archive.hpp"
#include "netdb/join/by_name.hpp"
#include "netdb/join/join.hpp"
#include "netdb/model/board_index.hpp"
#include "viewer/app/import.hpp"

namespace landfall::app {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kMostFiles = 10'000;
constexpr std::size_t kMostListText = 4U * 1024 * 1024;  // of a text that may be a ball list
constexpr std::size_t kListed = 8;

struct Candidate {
  std::string name, bytes;
};

struct Found {
  std::vector<Candidate> candidates;
  std::vector<std::string> left;
};

// The part of a path that is a file, and what is named inside it.
std::optional<std::pair<fs::path, std::string>> split_inside(const fs::path& path) {
  std::error_code failed;
  fs::path outer;
  for (auto part = path.begin(); part != path.end(); ++part) {
    outer /= *part;
    if (!fs::is_regular_file(outer, failed)) continue;
    fs::path inner;
    for (++part; part != path.end(); ++part) inner /= *part;
    return std::pair{outer, inner.generic_string()};
  }
  return std::nullopt;
}

bool begins_as_archive(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  std::string head(512, '\0');
  in.read(head.data(), static_cast<std::streamsize>(head.size()));
  head.resize(static_cast<std::size_t>(in.gcount()));
  return importers::is_archive(head);
}

Result<Found> look_into_folder(const fs::path& folder) {
  Found found;
  std::error_code failed;
  std::vector<fs::path> paths;
  fs::recursive_directory_iterator walk(folder, fs::directory_options::skip_permission_denied, failed);
  if (failed) return Error{ErrorCode::kInput, fmt::format("{}: the folder cannot be read", folder.string())};
  for (; walk != fs::recursive_directory_iterator(); walk.increment(failed)) {
    if (failed)
      return Error{ErrorCode::kInput, fmt::format("{}: the folder cannot be read", folder.string())};
    const bool hidden = walk->path().filename().string().starts_with('.');
    if (hidden) {
      if (walk->is_directory(failed)) walk.disable_recursion_pending();
      continue;
    }
    if (walk->is_symlink(failed)) {
      found.left.push_back(walk->path().lexically_relative(folder).generic_string() +
                           ": a link, which is not followed");
      continue;
    }
    if (walk->is_regular_file(failed)) paths.push_back(walk->path());
    if (paths.size() > kMostFiles)
      return Error{ErrorCode::kInput, fmt::format("{}: more than {} files: name those of one design",
                                                  folder.string(), kMostFiles)};
  }
  std::sort(paths.begin(), paths.end());
  std::size_t total = 0;
  for (const fs::path& path : paths) {
    const std::string name = path.lexically_relative(folder).generic_string();
    const auto size = fs::file_size(path, failed);
    if (failed || total + size > importers::kMostBytes) {
      found.left.push_back(name + ": beyond the 512 MB that are looked at");
      continue;
    }
    auto bytes = read_file(path);
    if (!bytes.ok()) {
      const std::string& why = bytes.error().message;  // "PATH: the file is empty"
      found.left.push_back(name + why.substr(std::min(path.string().size(), why.size())));
      continue;
    }
    total += bytes->size();
    found.candidates.push_back({name, std::move(bytes).value()});
  }
  return found;
}

Result<Found> look_into_archive(const fs::path& file, const std::string& inside) {
  auto bytes = read_file(file);
  if (!bytes.ok()) return bytes.error();
  auto unpacked = importers::unpack(*bytes, file.string());
  if (!unpacked.ok()) return unpacked.error();
  Found found;
  found.left = std::move(unpacked->left);
  for (auto& member : unpacked->members) {
    if (member.name.starts_with(inside))
      found.candidates.push_back({std::move(member.name), std::move(member.bytes)});
  }
  if (found.candidates.empty() && !inside.empty())
    return Error{ErrorCode::kInput, fmt::format("{}: nothing in it begins with {}", file.string(), inside)};
  return found;
}

bool is_board(const Gathered& file) {
  return file.design.format == "kicad-board" || file.design.format == "ipc-2581";
}

std::string stem(const std::string& name) {
  return fs::path(name).stem().string();
}

std::string names_of(const std::vector<Gathered>& files) {
  std::string names;
  for (std::size_t i = 0; i < files.size() && i < kListed; ++i) names += (i == 0 ? "" : ", ") + files[i].name;
  if (files.size() > kListed) names += fmt::format(" and {} more", files.size() - kListed);
  return names;
}

class Chooser {
 public:
  Chooser(std::string where, bool folder, Found found, const importers::ReadOptions& options)
      : where_(std::move(where)),
        kind_(folder ? "folder" : "archive"),
        options_(options),
        left_(std::move(found.left)),
        candidates_(std::move(found.candidates)) {}

  Result<Gathering> run() {
    read([](std::string_view format) { return !format.empty() && !importers::is_bare_part(format); });
    if (read_.empty()) return bare_part();
    leave_empty_ones();
    std::vector<Gathered> boards;
    std::vector<Gathered> netlists;
    for (Gathered& file : read_) (is_board(file) ? boards : netlists).push_back(std::move(file));
    for (const std::string_view format : {"kicad-board", "ipc-2581"}) {
      const auto count = std::count_if(boards.begin(), boards.end(),
                                       [&](const Gathered& f) { return f.design.format == format; });
      if (count > 1) return several("boards", boards);
    }
    std::vector<Gathered> all = std::move(boards);
    std::move(netlists.begin(), netlists.end(), std::back_inserter(all));
    const bool any_board = !all.empty() && is_board(all.front());
    // The fullest is what the others are measured by.
    std::stable_sort(all.begin(), all.end(), [&](const Gathered& a, const Gathered& b) {
      if (is_board(a) != is_board(b)) return is_board(a);
      return a.design.board.pins.size() > b.design.board.pins.size();
    });
    Gathering gathering;
    std::vector<Gathered> others;
    const Board& base = all.front().design.board;
    for (std::size_t i = 1; i < all.size(); ++i) {
      if (belongs(base, all[i].design.board, all[i].design.format)) {
        gathering.files.push_back(std::move(all[i]));
      } else {
        others.push_back(std::move(all[i]));
      }
    }
    gathering.files.insert(gathering.files.begin(), std::move(all.front()));
    if (!any_board && !others.empty()) {
      others.insert(others.begin(), std::move(gathering.files.front()));
      return several("designs", others);
    }
    for (const Gathered& other : others) left_.push_back(other.name + ": it seems to be of another design");
    keep_one_of_a_kind(gathering.files);
    take_lists(gathering);
    return finish(std::move(gathering));
  }

 private:
  template <class Wanted>
  void read(const Wanted& wanted) {
    std::vector<Candidate> rest;
    for (Candidate& candidate : candidates_) {
      const std::string_view format = importers::format_of(candidate.bytes);
      if (!wanted(format) || (format == "ball-list" && candidate.bytes.size() > kMostListText)) {
        rest.push_back(std::move(candidate));
        continue;
      }
      const auto same = std::find_if(read_.begin(), read_.end(),
                                     [&](const Gathered& g) { return g.bytes == candidate.bytes; });
      if (same != read_.end()) {
        left_.push_back(fmt::format("{}: the same as {}", candidate.name, same->name));
        continue;
      }
      Gathered file{candidate.name, "", {}, {}};
      auto design = importers::read_design(candidate.bytes, candidate.name, file.log, options_);
      if (!design.ok()) {
        choice_ = choice_ || design.error().code == ErrorCode::kChoice;
        left_.push_back(design.error().message);
        continue;
      }
      file.design = std::move(design).value();
      file.bytes = std::move(candidate.bytes);
      read_.push_back(std::move(file));
    }
    candidates_ = std::move(rest);
  }

  // A bill of materials in a board's format is no second board.
  void leave_empty_ones() {
    const auto is_empty = [](const Gathered& file) {
      return file.design.board.pins.empty() && file.design.board.lands.empty();
    };
    if (std::all_of(read_.begin(), read_.end(), is_empty)) return;
    for (const Gathered& file : read_) {
      if (is_empty(file)) left_.push_back(file.name + ": there are no pins in it");
    }
    std::erase_if(read_, is_empty);
  }

  // Lists of names whose pins are those of one of the design's parts.
  void take_lists(Gathering& gathering) {
    const Board base = gathering.files.front().design.board;
    const BoardIndex index(base);
    std::vector<Candidate> rest;
    for (Candidate& candidate : candidates_) {
      const std::string_view format = importers::format_of(candidate.bytes);
      Gathered file{candidate.name, "", {}, {}};
      const bool wanted = importers::is_bare_part(format) && candidate.bytes.size() <= kMostListText;
      auto design = wanted ? importers::read_design(candidate.bytes, candidate.name, file.log, options_)
                           : Result<importers::Design>(Error{});
      if (!design.ok() || design->board.parts.size() != 1) {
        rest.push_back(std::move(candidate));
        continue;
      }
      const join::Fit fit = join::fitting_part(index, design->board);
      if (fit.part == kNone) {
        if (!fit.several.empty()) left_.push_back(candidate.name + ": a list that fits several parts");
        if (fit.several.empty()) rest.push_back(std::move(candidate));
        continue;
      }
      file.design = std::move(design).value();
      file.bytes = std::move(candidate.bytes);
      gathering.files.push_back(std::move(file));
    }
    candidates_ = std::move(rest);
  }

  Result<Gathering> bare_part() {
    read([](std::string_view format) { return importers::is_bare_part(format) && format != "ball-list"; });
    if (read_.empty() && !choice_) read([](std::string_view format) { return format == "ball-list"; });
    if (read_.size() > 1) return several("parts", read_);
    if (read_.empty()) {
      if (left_.empty() && candidates_.empty())
        return Error{ErrorCode::kInput, fmt::format("{}: this {} is empty", where_, kind_)};
      return Error{choice_ ? ErrorCode::kChoice : ErrorCode::kInput,
                   fmt::format("{}: nothing in this {} can be used: {}", where_, kind_, all_left(3))};
    }
    Gathering gathering;
    gathering.files = std::move(read_);
    return finish(std::move(gathering));
  }

  Error several(std::string_view what, const std::vector<Gathered>& files) const {
    return {ErrorCode::kChoice, fmt::format("{}: there are several {} in this {}, name one: {}", where_, what,
                                            kind_, names_of(files))};
  }

  // Two netlists of one kind: that which is called as the board is; both if neither or both are.
  void keep_one_of_a_kind(std::vector<Gathered>& files) {
    const std::string own = stem(files.front().name);
    std::vector<Gathered> kept;
    for (std::size_t i = 0; i < files.size(); ++i) {
      const bool named = stem(files[i].name) == own;
      const bool better = !named && std::any_of(files.begin() + 1, files.end(), [&](const Gathered& f) {
        return f.design.format == files[i].design.format && stem(f.name) == own;
      });
      if (i > 0 && better) {
        left_.push_back(files[i].name + ": another of its kind is called as the board is");
      } else {
        kept.push_back(std::move(files[i]));
      }
    }
    files = std::move(kept);
  }

  Result<Gathering> finish(Gathering gathering) {
    gathering.notes.push_back(fmt::format("{}: {} of it {} used: {}", shown(), gathering.files.size(),
                                          gathering.files.size() == 1 ? "is" : "are",
                                          names_of(gathering.files)));
    const std::size_t count = left_.size() + candidates_.size();
    if (count > 0)
      gathering.notes.push_back(fmt::format("{}: {} left: {}", shown(), count, all_left(kListed)));
    return gathering;
  }

  // What a file is that is of no use here, shortly.
  [[nodiscard]] std::string why_left(const Candidate& candidate) const {
    if (importers::is_archive(candidate.bytes))
      return candidate.name + ": an archive, which is looked into when it is named by itself";
    const std::string_view format = importers::format_of(candidate.bytes);
    if (!format.empty() && !importers::is_bare_part(format)) return candidate.name + ": no design";
    Diagnostics log;
    const auto design = importers::read_design(candidate.bytes, candidate.name, log, options_);
    // A table of several packages waits for a word; other text that looks like a table is any text.
    if (!design.ok() && design.error().code == ErrorCode::kChoice) return design.error().message;
    if (!format.empty()) return candidate.name + ": no design";
    const bool known = !design.ok() && design.error().message.find("no design") == std::string::npos;
    return known ? design.error().message : candidate.name + ": no design";
  }

  // What was not used, and why: so many, then how many more.
  [[nodiscard]] std::string all_left(std::size_t most) const {
    std::vector<std::string> shown(left_.begin(),
                                   left_.begin() + static_cast<std::ptrdiff_t>(std::min(most, left_.size())));
    for (const Candidate& candidate : candidates_) {
      if (shown.size() >= most) break;
      shown.push_back(why_left(candidate));
    }
    const std::size_t count = left_.size() + candidates_.size();
    std::string text;
    for (const std::string& one : shown) text += (text.empty() ? "" : "; ") + one;
    if (count > shown.size()) text += fmt::format("; and {} more", count - shown.size());
    return text;
  }

  [[nodiscard]] std::string shown() const {  // in notes, without the folders before it
    const fs::path path(where_);
    return (path.has_filename() ? path : path.parent_path()).filename().string();
  }

  std::string where_;
  std::string_view kind_;
  const importers::ReadOptions& options_;
  std::vector<std::string> left_;
  std::vector<Candidate> candidates_;
  std::vector<Gathered> read_;
  bool choice_ = false;
};

}  // namespace

bool belongs(const Board& base, const Board& own, std::string_view format) {
  const auto agreement = join::agreement(own, base, format == "ipc-d-356");
  return agreement.shared * 2 >= own.pins.size() && agreement.same_split * 2 >= agreement.compared;
}

bool holds_files(const fs::path& path) {
  std::error_code failed;
  if (fs::is_directory(path, failed)) return true;
  const auto inside = split_inside(path);
  return inside && begins_as_archive(inside->first);
}

Result<Gathering> gather(const fs::path& path, const importers::ReadOptions& options) {
  std::error_code failed;
  const auto inside = split_inside(path);
  const bool folder = fs::is_directory(path, failed) || !inside;
  auto found = folder ? look_into_folder(path) : look_into_archive(inside->first, inside->second);
  if (!found.ok()) return found.error();
  return Chooser(path.string(), folder, std::move(found).value(), options).run();
}

}  // namespace landfall::app
