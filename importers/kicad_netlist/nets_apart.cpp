#include "importers/kicad_netlist/nets_apart.hpp"

#include <algorithm>

namespace landfall::importers {
namespace {

constexpr std::string_view kOpens = "<nets>";
constexpr std::string_view kCloses = "</nets>";
constexpr std::string_view kNetCloses = "</net>";
constexpr std::string_view kNode = "<node";
constexpr std::size_t kPiece = 64U * 1024;  // its tree is about four times as large: the cache's size

}  // namespace

std::ptrdiff_t NetsApart::tag_in_rest() const {
  return static_cast<std::ptrdiff_t>(begin - kOpens.size()) + 1;
}

NetsApart::Piece NetsApart::piece(std::string_view bytes, std::size_t at) const {
  const std::string_view left = bytes.substr(at, end - at);
  for (auto tag = left.find('<', std::min(kPiece, left.size())); tag != std::string_view::npos;
       tag = left.find('<', tag + 1)) {
    const std::string_view own = left.substr(tag);
    if (own.starts_with(kNode)) return {left.substr(0, tag), true};
    if (own.starts_with(kNetCloses)) return {left.substr(0, tag + kNetCloses.size()), false};
  }
  return {left, false};
}

std::optional<NetsApart> nets_apart(std::string_view bytes) {
  const auto opens = bytes.find(kOpens);
  if (opens == std::string_view::npos) return std::nullopt;
  const std::size_t begin = opens + kOpens.size();
  const auto end = bytes.rfind(kCloses);  // from behind: little follows the nets
  if (end == std::string_view::npos || end < begin) return std::nullopt;
  NetsApart apart;
  apart.begin = begin;
  apart.end = end;
  apart.rest.reserve(begin + (bytes.size() - end));
  apart.rest.append(bytes.substr(0, begin)).append(bytes.substr(end));
  return apart;
}

}  // namespace landfall::importers
