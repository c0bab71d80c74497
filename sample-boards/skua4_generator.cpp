// skua4_generator FOLDER: writes the sample board's files there.
#include <filesystem>
#include <fstream>
#include <iostream>

#include "sample-boards/generator/writers.hpp"

int main(int argc, char** argv) {
  if (argc != 2) {
    std::cerr << "usage: skua4_generator FOLDER\n";
    return 2;
  }
  const std::filesystem::path folder = argv[1];
  for (const auto& [name, text] : landfall::sample::skua4_files()) {
    std::ofstream out(folder / name, std::ios::binary);
    out << text;
    if (!out.flush()) {
      std::cerr << (folder / name).string() << " cannot be written\n";
      return 1;
    }
  }
  return 0;
}
