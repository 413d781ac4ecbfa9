# Eigen and pcg-cpp from the system where it has them, else fetched at a pinned version.
include(FetchContent)

find_package(Eigen3 3.4 NO_MODULE QUIET)
if(NOT TARGET Eigen3::Eigen)
  FetchContent_Declare(eigen URL https://gitlab.com/libeigen/eigen/-/archive/3.4.0/eigen-3.4.0.tar.gz)
  set(EIGEN_BUILD_DOC OFF)
  set(BUILD_TESTING OFF)
  FetchContent_MakeAvailable(eigen)
endif()

find_path(PCG_INCLUDE_DIR pcg_random.hpp)
if(NOT PCG_INCLUDE_DIR)
  FetchContent_Declare(pcg URL https://github.com/imneme/pcg-cpp/archive/refs/tags/v0.98.1.tar.gz)
  FetchContent_MakeAvailable(pcg)
  set(PCG_INCLUDE_DIR ${pcg_SOURCE_DIR}/include)
endif()
