// A file that the user named, written as a whole.
#pragma once

#include <filesystem>
#include <string_view>

#include "netdb/model/result.hpp"

namespace landfall::app {

// What is there already is only replaced by the whole of what is new; a file half written is removed. kInput
// when it cannot be written.
Status write_whole(std::string_view bytes, const std::filesystem::path& file);

}  // namespace landfall::app
