#include <algorithm>
#include <functional>

#include <fmt/format.h>

#include "importers/ball_list/ball_list.hpp"
#include "importers/bsdl/bsdl.hpp"
#include "importers/design.hpp"
#include "importers/ibis/ibis.hpp"
#include "importers/ipc_2581/ipc_2581.hpp"
#include "importers/ipc_d_356/ipc_d_356.hpp"
#include "importers/kicad_board/kicad_board.hpp"
#include "importers/kicad_library/kicad_library.hpp"
#include "importers/kicad_netlist/kicad_netlist.hpp"
#include "importers/text/xml.hpp"

// The one list of formats: how each is known by its content, and who reads it.

namespace landfall::importers {
namespace {

struct Format {
  FormatInfo info;
  bool (*is)(std::string_view bytes);
  std::optional<Design> (*read)(std::string_view bytes, Diagnostics& log, const ReadOptions& options);
};

// A reader that needs nothing but the bytes.
template <std::optional<Design> (*Read)(std::string_view, Diagnostics&)>
std::optional<Design> plain(std::string_view bytes, Diagnostics& log, const ReadOptions& /*options*/) {
  return Read(bytes, log);
}

std::string_view without_head(std::string_view bytes) {
  if (bytes.starts_with("\xEF\xBB\xBF")) bytes.remove_prefix(3);
  const auto first = bytes.find_first_not_of(" \t\r\n");
  return first == std::string_view::npos ? std::string_view() : bytes.substr(first);
}

bool starts_list(std::string_view bytes, std::string_view name) {
  bytes = without_head(bytes);
  if (!bytes.starts_with('(')) return false;
  bytes.remove_prefix(1);
  const auto first = bytes.find_first_not_of(" \t\r\n");
  if (first == std::string_view::npos) return false;
  bytes.remove_prefix(first);
  if (!bytes.starts_with(name)) return false;
  return bytes.size() == name.size() ||
         std::string_view(" \t\r\n()").find(bytes[name.size()]) != std::string_view::npos;
}

bool is_xml_netlist(std::string_view bytes) {
  if (!without_head(bytes).starts_with('<')) return false;
  // The root element is the first '<' that is no declaration, comment or DOCTYPE.
  const std::string_view head = bytes.substr(0, 65536);
  for (std::size_t at = head.find('<'); at != std::string_view::npos; at = head.find('<', at + 1)) {
    const std::string_view rest = head.substr(at);
    if (rest.starts_with("<?") || rest.starts_with("<!")) continue;
    // One that is cut off before its nets is one all the same.
    return rest.starts_with("<export") && (bytes.find("<nets") != std::string_view::npos ||
                                           bytes.find("<components") != std::string_view::npos);
  }
  return false;
}

bool is_test_record(std::string_view line) {
  return line.size() >= 20 && line[0] == '3' && line[1] >= '0' && line[1] <= '9' && line[2] == '7' &&
         line.substr(17, 3) == "   ";
}

// A parameter or comment, then a record: within the first 200 lines as a rule (FORMATS.md), but the long name
// tables of some writers come first, and take thousands.
bool is_ipc_d_356(std::string_view bytes) {
  if (bytes.starts_with("\xEF\xBB\xBF")) bytes.remove_prefix(3);
  bool head = false;
  for (int i = 0; i < 20'000 && !bytes.empty(); ++i) {
    const auto end = bytes.find_first_of("\r\n");
    const std::string_view line = bytes.substr(0, end);
    head = head || line.starts_with("P  ") || line.starts_with("C  ");
    if (head && is_test_record(line)) return true;
    if (!head && i >= 200) return false;
    if (end == std::string_view::npos) break;
    bytes.remove_prefix(end + 1);
  }
  return false;
}

const std::vector<Format>& all_formats() {
  static const std::vector<Format> all{
      {{"kicad-board", "KiCad board (.kicad_pcb), formats 3 (2013) to 10"},
       [](std::string_view b) { return starts_list(b, "kicad_pcb"); },
       plain<read_kicad_board>},
      {{"kicad-netlist", "KiCad netlist, s-expression or XML"},
       [](std::string_view b) { return starts_list(b, "export"); },
       plain<read_kicad_netlist>},
      {{"kicad-netlist", "KiCad netlist, s-expression or XML"},
       is_xml_netlist,
       plain<read_kicad_netlist_xml>},
      {{"ipc-d-356", "IPC-D-356 and 356A test netlist"}, is_ipc_d_356, read_ipc_d_356},
      {{"ipc-2581", "IPC-2581 A, B and C"},
       [](std::string_view b) { return without_head(b).starts_with('<') && root_element(b) == "IPC-2581"; },
       plain<read_ipc_2581>},
      {{"kicad-symbol", "KiCad symbol libraries (.kicad_sym, .lib)"},
       [](std::string_view b) { return starts_list(b, "kicad_symbol_lib"); },
       read_kicad_symbols},
      {{"kicad-symbol", "KiCad symbol libraries (.kicad_sym, .lib)"},
       is_kicad_old_symbols,
       read_kicad_old_symbols},
      {{"kicad-footprint", "KiCad footprints (.kicad_mod)"},
       [](std::string_view b) { return starts_list(b, "footprint") || starts_list(b, "module"); },
       plain<read_kicad_footprint>},
      {{"bsdl", "BSDL boundary-scan descriptions (IEEE 1149.1)"}, is_bsdl, read_bsdl},
      {{"ibis", "IBIS models' pin lists"}, is_ibis, read_ibis},
      {{"ball-list", "ball lists: CSV, tab-separated, text out of a PDF"}, may_be_ball_list, read_ball_list},
  };
  return all;
}

// What a file is that is no design, in words.
std::string what_it_is(std::string_view bytes) {
  struct Magic {
    std::string_view start, name;
  };
  using namespace std::string_view_literals;
  static constexpr Magic kMagic[] = {
      // NOLINT(modernize-avoid-c-arrays): a table
      {"\x1F\x8B"sv, "a gzip archive: unpack it first"},
      {"PK\x03\x04"sv, "a zip archive: unpack it first"},
      {"%PDF"sv, "a PDF"},
      {"SQLite format 3\0"sv, "an SQLite database"},
      {"\x89PNG"sv, "a PNG picture"},
      {"\xFF\xD8\xFF"sv, "a JPEG picture"},
      {"(kicad_sch"sv, "a KiCad schematic: export its netlist"},
  };
  for (const Magic& magic : kMagic) {
    if (bytes.starts_with(magic.start)) return std::string(magic.name);
  }
  if (bytes.find('\0') != std::string_view::npos) return "not a text file";
  const auto odd = std::count_if(bytes.begin(), bytes.end(), [](char c) {
    return static_cast<unsigned char>(c) < 32 && c != '\n' && c != '\r' && c != '\t';
  });
  if (static_cast<std::size_t>(odd) * 20 > bytes.size()) return "not a text file";
  std::string known;
  for (const FormatInfo& info : formats()) known += (known.empty() ? "" : ", ") + std::string(info.format);
  return fmt::format("no design that is known here ({})", known);
}

}  // namespace

const std::vector<FormatInfo>& formats() {
  static const std::vector<FormatInfo> infos = [] {
    std::vector<FormatInfo> all;
    for (const Format& format : all_formats()) {
      const auto same = [&](const FormatInfo& info) { return info.format == format.info.format; };
      if (std::none_of(all.begin(), all.end(), same)) all.push_back(format.info);
    }
    return all;
  }();
  return infos;
}

std::string_view format_of(std::string_view bytes) {
  for (const Format& format : all_formats()) {
    if (format.is(bytes)) return format.info.format;
  }
  return {};
}

bool is_bare_part(std::string_view format) {
  for (const std::string_view bare : {"ball-list", "bsdl", "ibis", "kicad-symbol", "kicad-footprint"}) {
    if (format == bare) return true;
  }
  return false;
}

Result<Design> read_design(std::string_view bytes, const std::string& file, Diagnostics& log,
                           const ReadOptions& options) {
  if (bytes.empty()) return Error{ErrorCode::kInput, file + ": the file is empty"};
  if (bytes.size() > kMostBytes) {
    return Error{ErrorCode::kInput,
                 fmt::format("{}: {} MB are more than the 512 MB that are read", file, bytes.size() >> 20U)};
  }
  for (const Format& format : all_formats()) {
    if (!format.is(bytes)) continue;
    log.watch(options.on_bytes);
    auto design = format.read(bytes, log, options);
    if (design) return std::move(*design);
    for (const Diagnostic& entry : log.entries()) {
      if (entry.severity != Severity::kError) continue;
      Diagnostic named = entry;
      named.file = file;
      return Error{entry.code == "choice" ? ErrorCode::kChoice : ErrorCode::kInput, placed(named)};
    }
    return Error{ErrorCode::kInput, file + ": cannot be understood"};
  }
  return Error{ErrorCode::kInput, file + ": " + what_it_is(bytes)};
}

}  // namespace landfall::importers
