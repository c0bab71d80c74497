#include "viewer/sdl/program.hpp"

int main(int argc, char** argv) {
  return landfall::sdl::run(argc, argv);
}
