#include "importers/kicad_netlist/nets_apart.hpp"

#include <algorithm>

namespace landfall::importers {
namespace {

constexpr std::string_view kOpens = "<nets>";
constexpr std::string_view kCloses = "</nets>";
constexpr std::string_view kNetCloses = "</net>";
constexpr std::size_t kPiece = 64U * 1024;  // its tree is about four times as large: the cache's size

}  // namespace

std::ptrdiff_t NetsApart::tag_in_rest() const {
  return static_cast<std::ptrdiff_t>(begin - kOpens.size()) + 1;
}

std::string_view NetsApart::piece(std::string_view bytes, std::size_t at) const {
  const std::string_view left = bytes.substr(at, end - at);
  const auto found = left.find(kNetCloses, std::min(kPiece, left.size()));
  return found == std::string_view::npos ? left : left.substr(0, found + kNetCloses.size());
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
