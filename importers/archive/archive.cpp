#include "importers/archive/archive.hpp"

#include <array>
#include <memory>

#include <archive.h>
#include <archive_entry.h>
#include <fmt/format.h>

#include "importers/text/name_guard.hpp"

namespace landfall::importers {
namespace {

struct Close {
  void operator()(archive* a) const { archive_read_free(a); }
};

bool leads_out(std::string_view name) {
  if (name.starts_with('/') || name.starts_with('\\')) return true;
  if (name.size() > 1 && name[1] == ':') return true;
  while (!name.empty()) {
    const auto end = name.find_first_of("/\\");
    if (name.substr(0, end) == "..") return true;
    name.remove_prefix(end == std::string_view::npos ? name.size() : end + 1);
  }
  return false;
}

std::string name_of(archive_entry* entry, std::size_t number) {
  const char* name = archive_entry_pathname_utf8(entry);
  if (name == nullptr) name = archive_entry_pathname(entry);
  return name == nullptr ? fmt::format("member {}", number) : guarded_name(name).text;
}

Error damaged(const std::string& file, archive* a) {
  const char* said = archive_error_string(a);
  std::string why = said == nullptr ? "damaged" : said;
  while (!why.empty() && (why.back() == '\n' || why.back() == ' ')) why.pop_back();
  return {ErrorCode::kInput,
          fmt::format("{}: the archive cannot be read, it may be cut off: {}", file, guarded_name(why).text)};
}

}  // namespace

bool is_archive(std::string_view bytes) {
  using namespace std::string_view_literals;
  for (const std::string_view magic : {"PK\x03\x04"sv, "PK\x05\x06"sv, "\x1F\x8B"sv, "BZh"sv,
                                       "\xFD"
                                       "7zXZ\0"sv}) {
    if (bytes.starts_with(magic)) return true;
  }
  return bytes.size() > 262 && bytes.substr(257, 5) == "ustar";
}

Result<Unpacked> unpack(std::string_view bytes, const std::string& file, const ArchiveBounds& bounds) {
  const std::unique_ptr<archive, Close> a(archive_read_new());
  if (!a) return Error{ErrorCode::kInput, file + ": there is no memory for the archive"};
  archive_read_support_format_zip(a.get());
  archive_read_support_format_tar(a.get());
  archive_read_support_filter_gzip(a.get());
  archive_read_support_filter_bzip2(a.get());
  archive_read_support_filter_xz(a.get());
  // A single packed file has no format around it; any bytes would pass for that, so only behind a filter.
  const bool zip = bytes.starts_with("PK");
  const bool tar = bytes.size() > 262 && bytes.substr(257, 5) == "ustar";
  if (!zip && !tar) archive_read_support_format_raw(a.get());
  if (archive_read_open_memory(a.get(), bytes.data(), bytes.size()) != ARCHIVE_OK)
    return damaged(file, a.get());
  Unpacked unpacked;
  std::size_t total = 0;
  std::size_t seen = 0;
  while (true) {
    archive_entry* entry = nullptr;
    const int status = archive_read_next_header(a.get(), &entry);
    if (status == ARCHIVE_EOF) break;
    if (status < ARCHIVE_WARN) return damaged(file, a.get());
    if (++seen > bounds.members)
      return Error{ErrorCode::kInput, fmt::format("{}: more than {} members: name the files of one design",
                                                  file, bounds.members)};
    ArchiveMember member{name_of(entry, seen), ""};
    if (archive_format(a.get()) == ARCHIVE_FORMAT_RAW) {
      member.name = file.substr(file.find_last_of("/\\") + 1);
      if (const auto dot = member.name.rfind('.'); dot != std::string::npos && dot > 0)
        member.name.resize(dot);
    }
    const auto type = archive_entry_filetype(entry);
    if (type == AE_IFDIR) continue;
    if (type != AE_IFREG || archive_entry_hardlink(entry) != nullptr) {
      unpacked.left.push_back(member.name + ": a link or a device");
      continue;
    }
    if (leads_out(member.name)) {
      unpacked.left.push_back(member.name + ": its name leads out of the archive");
      continue;
    }
    if (archive_entry_is_data_encrypted(entry) != 0) {
      unpacked.left.push_back(member.name + ": encrypted");
      continue;
    }
    std::array<char, 65536> block{};
    while (true) {
      const auto got = archive_read_data(a.get(), block.data(), block.size());
      if (got < 0) return damaged(file, a.get());
      if (got == 0) break;
      total += static_cast<std::size_t>(got);
      if (total > bounds.bytes) {
        return Error{ErrorCode::kInput, fmt::format("{}: it unpacks to more than the {} MB that are read",
                                                    file, bounds.bytes >> 20U)};
      }
      member.bytes.append(block.data(), static_cast<std::size_t>(got));
    }
    unpacked.members.push_back(std::move(member));
  }
  return unpacked;
}

}  // namespace landfall::importers
